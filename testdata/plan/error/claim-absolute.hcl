claim "sixty" {
  metric = "mean_fps"
  of     = card.heron_x.stock
  expect = { at_least = 60 } # ERROR Unit is missing
}
claim "sixty_b" {
  metric = "mean_fps"
  of     = card.heron_x.stock
  expect = { at_least = 60, unit = "ms" } # ERROR Unit does not fit
}
claim "sixty_c" {
  metric = "mean_fps"
  of     = card.heron_x.stock
  expect = { same = true } # ERROR Claim expects no one thing
}
