soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  noise      = { distance_m = 0.5, weighting = "A", meter_class = 2, background_db = [] } # ERROR List is empty
}
