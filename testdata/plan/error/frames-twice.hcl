soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  frames {
    path      = "x.csv"
    timestamp = { column = "t", unit = "s" }
  }
  frames { # ERROR Block may stand only once
    path      = "y.csv"
    timestamp = { column = "t", unit = "s" }
  }
}
