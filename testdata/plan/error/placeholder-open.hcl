files "log" {
  path      = "{card.csv" # ERROR Placeholder is not closed
  timestamp = { column = "t", unit = "s" }
}
