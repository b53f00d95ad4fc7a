card "skua" {
  vendor = "skua"
  price = [
    { amount = 499, currency = "EUR", kind = "list", tax = true },
    { amount = 479, currency = "EUR", kind = "street", place = "quay", tax = true },
    { amount = 489, currency = "EUR", kind = "street", place = "market", tax = true },
  ]
  body = { length_mm = 280 }
}
card "gannet" {
  vendor = "gannet"
  price  = { amount = 419, currency = "EUR", kind = "list", tax = false }
}
claim "tax" {
  metric  = "price"
  price   = { kind = "list" } # ERROR Prices are unlike
  of      = card.skua
  against = card.gannet
  expect  = { at_most = 5 }
}
claim "place" {
  metric = "price"
  price  = { kind = "street" } # ERROR Several where one is meant
  of     = card.skua
  expect = { at_most = 500, unit = "EUR" }
}
claim "unit" {
  metric = "price"
  price  = { kind = "street", place = "quay" }
  of     = card.skua
  expect = { at_most = 500, unit = "USD" } # ERROR Unit does not fit
}
claim "other_side" {
  fact    = "length_mm"
  of      = card.skua
  against = card.gannet # ERROR Fact is not stated
  expect  = { at_most = 5 }
}
