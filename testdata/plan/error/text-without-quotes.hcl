card "gannet" {
  vendor = tern # ERROR Unknown word
}
