soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      core = { column = "a", unit = "C" } # ERROR Channel is no probe
    }
  }
}
