claim "c" {
  metric  = "mean_power_w"
  soak    = soak.bench
  at      = "reported board" # ERROR Claim compares unlike measurements
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_most = 10 }
}
