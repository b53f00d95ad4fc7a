soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      level = { column = "a", unit = "dB" } # ERROR Something is missing
    }
  }
}
