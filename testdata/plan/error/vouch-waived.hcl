# ALONE
review "spring" {
  baseline = card.tern_ref
}
card "tern_ref" { vendor = "tern" }
card "heron_x" { vendor = "heron" }
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "qhd" { size = "2560x1440" }
matrix {
  waive {
    cards  = [card.heron_x]
    reason = "not here"
  }
}
vouch {
  cell   = [card.heron_x, game.fjord, resolution.qhd] # WARNING Vouch matches nothing
  reason = "seen"
}
control { cell = [card.heron_x, game.fjord, resolution.qhd] } # ERROR Control is not in the matrix
claim "lead" {
  metric  = "mean_fps"
  of      = card.heron_x # ERROR Claim is not in the matrix
  against = card.tern_ref
  expect  = { at_least = 3 }
}
files "csv" {
  path      = "{card}/{game}_{resolution}_{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
