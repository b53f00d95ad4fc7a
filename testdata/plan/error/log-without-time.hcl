soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log { # ERROR Something is missing
    path     = "x.csv"
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
