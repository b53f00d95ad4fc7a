card "gannet" {
  vendor = format("%99999999s", "x") # ERROR Value cannot be worked out
}
