soak "extra" { # ERROR Something is missing
  load = "idle"
}
