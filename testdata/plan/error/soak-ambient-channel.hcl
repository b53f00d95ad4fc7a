soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  ambient    = { target_c = 21, from = "rom" } # ERROR Unknown channel
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      room = { column = "r", unit = "C" } # ERROR Channel is no probe
    }
  }
}
