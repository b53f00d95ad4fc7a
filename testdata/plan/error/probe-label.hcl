soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "core-1" { on_die = "edge" } # ERROR Label has a wrong form
}
