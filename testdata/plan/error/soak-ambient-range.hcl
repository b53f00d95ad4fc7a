soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  ambient    = { target_c = 294 } # ERROR Number out of range
}
