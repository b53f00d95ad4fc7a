reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  temperature_f = 160 # ERROR Unknown name
  db = "42" # ERROR Not a number
}
