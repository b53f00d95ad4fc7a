reading "r" { # ERROR Something is missing
  card = card.heron_x.stock
  soak = soak.bench
  power_w = 310
}
