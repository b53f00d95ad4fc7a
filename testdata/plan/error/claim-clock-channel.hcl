claim "c" {
  metric  = "clock_median_mhz"
  soak    = soak.bench
  channel = "core_clok" # ERROR Unknown channel
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 2 }
}
