# ALONE
review "spring" {
  baseline = card.tern_ref.stock
  embargo  = "2027-03-04T14:00:00+01:00"
}
card "tern_ref" {
  vendor  = "tern"
  embargo = "none"
}
card "heron_x" { vendor = "heron" } # ERROR Codename is missing
card "gannet" {
  vendor   = "gannet"
  codename = "osprey"
}
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "uhd" { size = "3840x2160" }
matrix {}
files "csv" {
  path       = "captures/{card}-{game}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
