soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path     = "{card}.csv"
    cards    = [card.heron_x] # ERROR Card is not in the soak # ERROR Card is not in the soak
    time     = { column = "t", unit = "s" }
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
