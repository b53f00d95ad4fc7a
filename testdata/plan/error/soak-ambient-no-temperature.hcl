soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  ambient    = { target_c = 21, from = "fan" } # ERROR Unit does not fit
  log {
    path     = "x.csv"
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "r", unit = "rpm" } }
  }
}
