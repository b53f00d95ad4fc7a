card "gannet" {
  vendor = "tern"
  sample = { here_from = "2027-03-01", leaves = "2027-02-20" } # ERROR Card leaves before it comes
}
