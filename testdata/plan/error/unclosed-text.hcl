card "gannet" {
  vendor = "tern   # ERROR Plan text cannot be read
}
