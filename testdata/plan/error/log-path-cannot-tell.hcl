soak "cards" {
  load   = "idle"
  length = "10m"
  log {
    path     = "a-{mode}.csv" # ERROR Path cannot tell soaks apart
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
soak "repeats" {
  load    = "idle"
  cards   = [card.tern_ref]
  length  = "10m"
  repeats = 2
  log {
    path     = "b.csv" # ERROR Path cannot tell soaks apart
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
