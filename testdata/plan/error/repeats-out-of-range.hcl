matrix {
  repeats = 0 # ERROR Number out of range
}
matrix {
  repeats = 101 # ERROR Number out of range
}
matrix {
  repeats = 1e400 # ERROR Number out of range
}
