card "gannet" {
  vendor = "tern"
  sample = { leaves = "2027-03-01T12:00:00" } # ERROR Not a date
}
