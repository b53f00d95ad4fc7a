soak "extra" { # ERROR Something is missing
  load   = "other"
  length = "30m"
}
