files "log" { # ERROR Something is missing
  timestamp = { column = "t", unit = "s" }
}
