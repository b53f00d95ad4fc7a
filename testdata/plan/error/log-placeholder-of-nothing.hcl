soak "extra" {
  load   = "idle"
  cards  = [card.tern_ref]
  length = "10m"
  log {
    path     = "{game}-{size}.csv" # ERROR Placeholder stands for nothing # ERROR Placeholder stands for nothing
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
