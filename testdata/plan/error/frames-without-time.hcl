soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  frames { # ERROR Something is missing
    path = "x.csv"
  }
}
