reading "a" {
  card      = card.heron_x.stock
  soak      = soak.bench
  db        = 42
  ambient_c = 21.2
}
reading "b" {
  card      = card.heron_x.stock
  soak      = soak.bench
  db        = 42.2 # ERROR Noted twice
  ambient_c = 21.3
}
