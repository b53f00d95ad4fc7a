card "gannet" {
  vendor = "tern"
  price  = { amount = 5, currency = "euro", kind = "list", tax = true } # ERROR Not a currency
}
