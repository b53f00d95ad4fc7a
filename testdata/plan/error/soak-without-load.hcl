soak "extra" { # ERROR Something is missing
  length = "30m"
}
