reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  probe = "cores" # ERROR Unknown probe
  temperature_c = 71
}
