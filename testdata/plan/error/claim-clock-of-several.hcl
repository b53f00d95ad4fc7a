claim "c" { # ERROR Several where one is meant
  metric  = "clock_median_mhz"
  soak    = soak.bench
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 2 }
}
