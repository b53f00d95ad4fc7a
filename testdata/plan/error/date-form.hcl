card "gannet" {
  vendor = "tern"
  sample = { here_from = "20.2.2027", leaves = "2027-02-30" } # ERROR Not a date # ERROR Not a date
}
