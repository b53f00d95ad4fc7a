let {
  memory = { rate_gtps = 20, bus_bits = 256, "rate_gtps" = 21 } # ERROR Written twice
}
card "gannet" {
  vendor = "tern"
  memory = let.memory
}
