soak "plain" {
  load   = "idle"
  cards  = [card.tern_ref, card.heron_x.stock]
  length = "10m"
}
reading "a" {
  card    = card.tern_ref
  soak    = soak.plain
  power_w = 14
  at      = "in line"
}
reading "b" {
  card    = card.heron_x.stock
  soak    = soak.plain
  power_w = 62
  at      = "wall"
}
claim "c" {
  metric  = "mean_power_w"
  soak    = soak.plain
  of      = card.heron_x.stock
  against = card.tern_ref # ERROR Claim compares unlike measurements
  expect  = { at_most = 10 }
}
