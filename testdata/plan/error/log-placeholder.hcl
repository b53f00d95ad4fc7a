soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "{card}-{any}.csv" # ERROR Unknown placeholder
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
