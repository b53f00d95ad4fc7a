claim "c" {
  metric  = "peak_c"
  soak    = soak.bench
  probe   = "core"
  of      = card.heron_x.tuned # ERROR Card is not in the soak
  expect  = { at_most = 90, unit = "°C" }
}
