reading "r" {
  card  = card.heron_x.stock
  sweep = sweep.fan
  table = [
    { percent = 30, rpm = 900 },
    { percent = 30, rpm = 910 }, # ERROR Noted twice
    { percent = 45, rpm = 1300 }, # ERROR Step is not in the sweep
  ]
}
