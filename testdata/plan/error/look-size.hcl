look {
  size = "80%" # ERROR Number out of range
}
