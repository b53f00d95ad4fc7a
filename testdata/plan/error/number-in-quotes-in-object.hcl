card "gannet" {
  vendor = "tern"
  price  = { amount = "699", currency = "EUR", kind = "list", tax = true } # ERROR Not a number
}
