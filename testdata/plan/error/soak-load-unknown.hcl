soak "extra" {
  load   = "two screens" # ERROR Unknown choice
  length = "30m"
}
