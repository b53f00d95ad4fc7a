soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  cap_fps    = 60 # ERROR Argument does not fit
}
