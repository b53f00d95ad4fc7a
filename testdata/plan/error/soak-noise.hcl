soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  noise      = { weighting = "B", meter_class = 3 } # ERROR Something is missing # ERROR Unknown choice # ERROR Number out of range
}
