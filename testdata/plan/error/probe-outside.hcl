soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "core" {
    on_die = "edge"
    cards  = [card.heron_x.stock] # ERROR Card is not in the soak
  }
}
