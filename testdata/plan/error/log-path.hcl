soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "../x.csv" # ERROR Path is refused
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
