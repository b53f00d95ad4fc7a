claim "smooth" {
  metric  = "hitch_time_share"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = -5, within = 1 } # ERROR Percent does not fit
}
