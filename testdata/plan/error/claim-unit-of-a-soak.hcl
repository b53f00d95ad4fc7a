claim "c" {
  metric  = "rise_k"
  soak    = soak.bench
  probe   = "core"
  of      = card.heron_x.stock
  expect  = { at_most = 40, unit = "°C" } # ERROR Unit does not fit
}
