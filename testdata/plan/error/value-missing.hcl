card "gannet" {
  vendor = # ERROR Plan text cannot be read
}
