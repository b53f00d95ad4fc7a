card "skua" {
  vendor = "skua"
  price = [
    { amount = 499, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" },
    { amount = 499, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" }, # ERROR Price stands twice
  ]
}
