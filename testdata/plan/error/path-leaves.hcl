files "log" {
  path      = "../{card}.csv" # ERROR Path is refused
  timestamp = { column = "t", unit = "s" }
}
