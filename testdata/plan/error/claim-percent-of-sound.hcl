claim "c" {
  metric  = "sound_level_db"
  soak    = soak.bench
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = -10, within = 2 } # ERROR Percent does not fit
}
