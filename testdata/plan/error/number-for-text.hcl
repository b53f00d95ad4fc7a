card "gannet" {
  vendor = 7 # ERROR Not text
}
