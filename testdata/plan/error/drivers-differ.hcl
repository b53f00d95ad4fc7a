card "gannet" {
  vendor = "tern"
  driver = "613.0" # WARNING Different drivers within a vendor
}
