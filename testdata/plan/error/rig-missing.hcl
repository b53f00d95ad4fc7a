# ALONE
review "spring" {
  baseline  = card.tern_ref
  rig       = rig.bench_a # ERROR Unknown rig
  bench_day = "0h" # ERROR Duration is impossible
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
