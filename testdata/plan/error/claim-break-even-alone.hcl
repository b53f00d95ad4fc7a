claim "c" { # ERROR Something is missing
  metric  = "break_even_price"
  price   = { kind = "list" } # ERROR Price is not stated
  of      = card.heron_x.stock
  expect  = { at_least = 600, unit = "EUR" }
}
