soak "extra" { # ERROR Something is missing
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  load       = "capped"
}
