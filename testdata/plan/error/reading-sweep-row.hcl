reading "r" {
  card = card.heron_x.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, temperature_c = 70 },
    { percent = 60 }, # ERROR Reading notes nothing
    { rpm = 900 }, # ERROR Something is missing
  ]
}
