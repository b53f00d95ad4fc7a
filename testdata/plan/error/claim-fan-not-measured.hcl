claim "c" {
  metric = "fan_typical_rpm"
  soak   = soak.bare
  of     = card.heron_x.stock # ERROR Figure is not measured
  expect = { at_most = 900, unit = "rpm" }
}
