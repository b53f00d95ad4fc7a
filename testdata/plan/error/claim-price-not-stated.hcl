claim "c" {
  metric  = "price_per_fps"
  price   = { kind = "list" } # ERROR Price is not stated
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
