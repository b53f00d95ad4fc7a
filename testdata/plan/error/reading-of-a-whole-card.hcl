reading "r" {
  card = card.heron_x # ERROR Several where one is meant
  soak = soak.bench
  db   = 40
}
