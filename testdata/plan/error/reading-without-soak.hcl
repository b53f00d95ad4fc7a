reading "r" { # ERROR Something is missing
  card = card.heron_x.stock
  db = 40
}
