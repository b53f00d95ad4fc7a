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
      core  = { column = "a", unit = "°C" } # ERROR Unknown choice
      fan   = { column = "b", unit = "1/min" } # ERROR Unknown choice
      power = { column = "c", unit = "kW", at = "wall" } # ERROR Unknown choice
      duty  = { column = "d" } # ERROR Something is missing
    }
  }
}
