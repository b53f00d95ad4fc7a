# ALONE
review "spring" {
  baseline = card.tern_ref
}
card "tern_ref" { vendor = "tern" }
card "heron_x" { vendor = "heron" } # WARNING Declared but not in the matrix
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "qhd" { size = "2560x1440" }
game "kelp" { # WARNING Declared but not in the matrix
  drive = "replay"
  keep  = "all"
}
resolution "uhd" { size = "3840x2160" } # WARNING Declared but not in the matrix
matrix {
  cards = [card.tern_ref]
  games = [game.fjord]
  resolutions = [resolution.qhd]
}
files "csv" {
  path      = "{card}/{game}_{resolution}_{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
