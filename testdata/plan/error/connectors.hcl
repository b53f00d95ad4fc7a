card "skua" {
  vendor = "skua"
  connectors = { power_8_pin = 1.5 } # ERROR Not a whole number
}
