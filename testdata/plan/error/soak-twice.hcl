soak "bench" { # ERROR Name used twice
  load   = "idle"
  length = "10m"
}
