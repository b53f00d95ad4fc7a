soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "x.csv"
    time     = { column = "t", layout = "DD.MM.YY hh:mm" } # ERROR Unknown choice
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
