soak "extra" {
  load   = "idle"
  length = "10m"
  frames { # ERROR Argument does not fit
    path      = "{card}-{mode}.csv"
    timestamp = { column = "t", unit = "s" }
  }
}
