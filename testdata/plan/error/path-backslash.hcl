files "log" {
  path      = "captures\\{card}.csv" # ERROR Path is refused
  timestamp = { column = "t", unit = "s" }
}
