card "skua" {
  vendor = "skua"
  price = [] # ERROR List is empty
}
