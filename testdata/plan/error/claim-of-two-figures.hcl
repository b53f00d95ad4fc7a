claim "c" {
  metric  = "mean_fps"
  fact    = "length_mm" # ERROR Claim is of two figures
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
