soak "extra" { # ERROR Something is missing
  load    = "capped"
  cap_fps = 60
  length  = "30m"
}
