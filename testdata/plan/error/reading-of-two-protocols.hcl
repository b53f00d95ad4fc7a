reading "r" { # ERROR Reading is of two protocols
  card = card.heron_x.stock
  soak = soak.bench
  sweep = sweep.fan
  db = 40
  table = [{ percent = 30, rpm = 900 }]
}
