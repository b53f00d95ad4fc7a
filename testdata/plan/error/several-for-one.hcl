claim "lead" {
  metric  = "mean_fps"
  of      = card.heron_x # ERROR Several where one is meant
  against = card.tern_ref
  expect  = { same = true }
}
