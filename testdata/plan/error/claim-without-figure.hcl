claim "c" { # ERROR Something is missing
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
