claim "c" {
  metric  = "peak_c"
  soak    = soak.bench
  group   = "raer" # ERROR Unknown group
  of      = card.heron_x.stock
  expect  = { at_most = 90, unit = "°C" }
}
