claim "c" {
  metric  = "sound_level_db"
  soak    = soak.bare # ERROR Figure is not measured
  of      = card.heron_x.stock
  expect  = { at_most = 40, unit = "dB" }
}
