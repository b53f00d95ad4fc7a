soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "x.csv"
    time     = { column = "t", unit = "s" }
    channels = {} # ERROR Something is missing
  }
}
