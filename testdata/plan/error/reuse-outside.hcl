# ALONE
review "spring" { baseline = card.tern_ref.stock }
card "tern_ref" {
  vendor = "tern"
  mode "stock" {}
  mode "quiet" {}
}
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "uhd" { size = "3840x2160" }
matrix {
  cards = [card.tern_ref.stock]
}
files "csv" {
  path       = "captures/{game}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
reuse "of_nobody" {
  review  = "autumn"
  cards   = [card.tern_ref] # ERROR Reuse is not in the matrix
  max_age = "180h"          # ERROR Not an age
}
