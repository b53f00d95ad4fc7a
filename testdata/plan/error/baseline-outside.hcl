# ALONE
review "spring" {
  baseline = card.heron_x # ERROR Baseline is not in the matrix
}
card "tern_ref" { vendor = "tern" }
card "heron_x" { vendor = "heron" } # WARNING Declared but not in the matrix
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "qhd" { size = "2560x1440" }
matrix {
  cards = [card.tern_ref]
}
files "csv" {
  path      = "{card}/{game}_{resolution}_{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
