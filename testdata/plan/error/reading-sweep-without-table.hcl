reading "r" { # ERROR Something is missing
  card = card.heron_x.stock
  sweep = sweep.fan
}
