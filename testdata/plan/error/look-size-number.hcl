look {
  size = 110 # ERROR Not a percent
}
