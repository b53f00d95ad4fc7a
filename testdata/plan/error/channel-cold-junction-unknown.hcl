soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "board" {
    thermocouple = { type = "K", place = "backplate" }
  }
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      board = { column = "a", unit = "mV", cold_junction = "cj" } # ERROR Unknown channel
    }
  }
}
