card "skua" {
  vendor = "skua"
  price = [
    { amount = 499, currency = "EUR", kind = "list", tax = true },
    { amount = "499", currency = "euro", kind = "street" }, # ERROR Not a number # ERROR Not a currency # ERROR Something is missing
    499, # ERROR Not an object
  ]
}
