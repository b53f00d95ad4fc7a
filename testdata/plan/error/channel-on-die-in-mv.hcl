soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "core" { on_die = "edge" }
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      core = { column = "a", unit = "mV", cold_junction = "cj" } # ERROR Unit does not fit
      cj   = { column = "b", unit = "C" }
    }
  }
}
