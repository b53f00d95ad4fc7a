reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  at = "wall" # ERROR Argument does not fit
  db = 40
}
