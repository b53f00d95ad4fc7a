card "gannet" {
  vendor = "tern"
  price  = 589 # ERROR Not an object
}
