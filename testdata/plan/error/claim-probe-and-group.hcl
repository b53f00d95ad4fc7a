claim "c" {
  metric  = "rise_k"
  soak    = soak.bench
  probe   = "board"
  group   = "rear" # ERROR Claim is of two figures
  of      = card.heron_x.stock
  expect  = { at_most = 40, unit = "K" }
}
