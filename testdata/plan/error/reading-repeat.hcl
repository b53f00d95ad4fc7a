reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  repeat = 2 # ERROR Number out of range
  db     = 40
}
