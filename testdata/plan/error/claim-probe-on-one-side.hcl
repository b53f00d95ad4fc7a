claim "c" {
  metric  = "rise_k"
  soak    = soak.bench
  probe   = "board" # ERROR Probe is not on the card
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
