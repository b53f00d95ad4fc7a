reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  db   = 40
  file = "/tmp/x.jpg" # ERROR Path is refused
}
