soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path = "x.csv"
    time = { column = "t", unit = "s" }
    channels = {
      power = { column = "a", unit = "W", at = "reported bord" } # ERROR Unknown choice
      fan   = { column = "b", unit = "rpm", at = "wall" } # ERROR Argument does not fit
    }
  }
}
