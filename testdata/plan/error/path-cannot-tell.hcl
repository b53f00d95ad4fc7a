files "log" {
  path      = "{mode}/{variant}.csv" # ERROR Path cannot tell cells apart # ERROR Path cannot tell cells apart # ERROR Path cannot tell cells apart # ERROR Path cannot tell cells apart
  timestamp = { column = "t", unit = "s" }
}
