claim "c" { # ERROR Several where one is meant
  metric  = "mean_power_w"
  soak    = soak.bench
  of      = card.heron_x.stock
  expect  = { at_most = 320, unit = "W" }
}
