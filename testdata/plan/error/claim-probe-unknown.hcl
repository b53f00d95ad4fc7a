claim "c" {
  metric  = "rise_k"
  soak    = soak.bench
  probe   = "boards" # ERROR Unknown probe
  of      = card.heron_x.stock
  expect  = { at_most = 40, unit = "K" }
}
