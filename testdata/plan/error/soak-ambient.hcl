soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  ambient    = { tolerance_c = 1 } # ERROR Something is missing
}
