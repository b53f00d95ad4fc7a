claim "c" {
  metric  = "peak_power_w"
  soak    = soak.bare
  of      = card.heron_x.stock # ERROR Figure is not measured
  expect  = { at_most = 320, unit = "W" }
}
