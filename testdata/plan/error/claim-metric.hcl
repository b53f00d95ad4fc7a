claim "lead" {
  metric  = "mean_fsp" # ERROR Unknown choice
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { same = true }
}
