card "gannet" {
  vendor = "tern", # ERROR Plan text cannot be read
}
card "kite" {
  vendor = "tern", # ERROR Plan text cannot be read
}
