claim "lead" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.heron_x.stock # ERROR Claim compares a card with itself
  expect  = { same = true }
}
