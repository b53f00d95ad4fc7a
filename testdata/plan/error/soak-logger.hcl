soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  logger     = { accuracy_k = 0.5 } # ERROR Unknown name
}
