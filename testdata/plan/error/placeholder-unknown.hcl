files "log" {
  path      = "{crad}.csv" # ERROR Unknown placeholder
  timestamp = { column = "t", unit = "s" }
}
