accept {
  max_spread = "0%" # ERROR Number out of range
}
