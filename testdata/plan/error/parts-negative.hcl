card "skua" {
  vendor = "skua"
  parts_g = { heatsink = -900 } # ERROR Number out of range
}
