reading "r" { # ERROR Argument does not fit
  card = card.heron_x.stock
  sweep = sweep.fan
  rpm = 900
  table = [{ percent = 30, rpm = 900 }]
}
