claim "cooler" {
  metric  = "start_temp_c" # WARNING Figure is not measured
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = -5, within = 1 } # ERROR Percent does not fit
}
