reading "r" {
  card = card.heron_x.tuned # ERROR Card is not in the soak
  soak = soak.bench
  db   = 40
}
