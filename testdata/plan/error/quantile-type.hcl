statistics {
  quantile = 10 # ERROR Number out of range
  lows     = "tail" # ERROR Unknown choice
}
