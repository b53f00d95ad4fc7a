claim "c" {
  metric = "energy_per_frame_j"
  soak   = soak.bench # ERROR Figure is not measured
  at     = "wall"
  of     = card.heron_x.stock
  expect = { at_most = 3, unit = "J" }
}
