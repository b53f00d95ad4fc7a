soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "x.csv"
    time     = { column = "t", unit = "s", layout = "rfc3339" } # ERROR Time is two things
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
