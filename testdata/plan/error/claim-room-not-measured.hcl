claim "c" {
  metric  = "rise_k"
  soak    = soak.bare # ERROR Figure is not measured
  probe   = "edge"
  of      = card.heron_x.stock
  expect  = { at_most = 40, unit = "K" }
}
