soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "x.csv"
    time     = { column = "t" } # ERROR Something is missing
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
