claim "c" { # ERROR Something is missing
  metric  = "price_per_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
