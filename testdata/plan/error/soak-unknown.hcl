reading "r" {
  card = card.tern_ref
  soak = soak.bnech # ERROR Unknown soak
  db   = 40
}
claim "c" {
  metric = "sound_level_db"
  soak   = sweep.fan # ERROR Wrong kind of reference
  of     = card.tern_ref
  expect = { at_most = 40, unit = "dB" }
}
