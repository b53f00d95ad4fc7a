reading "r" { # ERROR Something is missing
  card = card.heron_x.stock
  soak = soak.bench
  temperature_c = 71
}
