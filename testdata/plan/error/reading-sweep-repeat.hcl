reading "r" {
  card = card.heron_x.stock
  sweep = sweep.fan
  repeat = 1 # ERROR Argument does not fit
  table = [{ percent = 30, rpm = 900 }]
}
