claim "a" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = 5 } # ERROR Claim expects no one thing
}
claim "b" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = 5, within = 1, same = true } # ERROR Claim expects no one thing
}
claim "c" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 5, at_most = 4 } # ERROR Claim expects no one thing
}
claim "d" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 5, within = 1 } # ERROR Claim expects no one thing
}
claim "e" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 5, unit = "fps" } # ERROR Unit does not fit
}
claim "f" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { percent = 5, within = 0 } # ERROR Number out of range
}
