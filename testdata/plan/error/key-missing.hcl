card "gannet" {
  vendor = "tern"
  memory = { rate_gtps = 20 } # ERROR Something is missing
}
