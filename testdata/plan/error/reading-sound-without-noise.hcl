reading "r" { # ERROR Something is missing
  card = card.heron_x.stock
  soak = soak.bare
  db = 40
}
