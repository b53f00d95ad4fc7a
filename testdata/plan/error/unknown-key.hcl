card "gannet" {
  vendor = "tern"
  memory = { rate_gtps = 20, bus_bits = 256, kind = "x" } # ERROR Unknown name
}
