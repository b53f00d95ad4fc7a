claim "lead" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  where   = { games = [game.fjord], groups = ["ray traced"] } # ERROR Claim selects nothing # ERROR Claim selects nothing
  expect  = { same = true }
}
