soak "again" {
  load   = "idle"
  cards  = [card.heron_x.stock]
  length = "10m"
  log {
    path     = "idle.csv" # ERROR Path cannot tell soaks apart
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
