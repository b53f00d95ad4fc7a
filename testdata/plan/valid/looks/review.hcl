# Passes that grow by declared looks: the first and the last of a cell are known before the first pass is made.
let {
  looks = [3, 5, 8]
}

review "looks" {
  baseline = card.tern_ref
}

card "tern_ref" { vendor = "marram" }
card "heron_x" { vendor = "marram" }

game "fjord" {
  drive = "built-in"
  keep  = "all"
}
game "kelp" {
  drive = "by hand"
  keep  = "all"
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }

matrix {
  games = [game.fjord]
  looks = let.looks
}

matrix {
  games       = [game.kelp]
  resolutions = [resolution.qhd]
  looks       = [2, 4]
}

matrix {
  games   = [game.kelp]
  repeats = 3
}

# six passes of the baseline, so that it is not looked at after three or five
matrix {
  cards       = [card.tern_ref]
  games       = [game.fjord]
  resolutions = [resolution.qhd]
  repeats     = 6
}

files "frame_times" {
  path       = "captures/{card}/{game}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
