reading "r" {
  card = card.heron_x.stock
  soak = soak.bench
  db    = 40
  table = [{ percent = 30, rpm = 900 }] # ERROR Argument does not fit
}
