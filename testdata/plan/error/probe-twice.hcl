soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "core" { on_die = "edge" }
  probe "core" { on_die = "hottest" } # ERROR Name used twice
}
