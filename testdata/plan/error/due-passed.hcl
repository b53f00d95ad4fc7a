# ALONE
review "spring" {
  baseline = card.tern_ref
  due      = "2026-12-31" # WARNING Due time has passed
}
card "tern_ref" { vendor = "tern" }
card "heron_x" { vendor = "heron" }
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "qhd" { size = "2560x1440" }
matrix {
}
files "csv" {
  path      = "{card}/{game}_{resolution}_{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
