claim "c" { # ERROR Something is missing
  metric  = "rise_k"
  soak    = soak.bench
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
