reading "r" { # ERROR Reading notes nothing
  card = card.heron_x.stock
  soak = soak.bench
}
