# What the first file refers to and does not declare.
card "heron_x" {
  name   = "Heron X"
  vendor = "heron"
  driver = "27.2"
  sample = { origin = "lent by maker", here_from = "2027-02-21", leaves = "2027-02-27" }
  mode "stock" {}
  mode "tuned" { raises = { power_pct = 15 } }
}

game "bazaar" {
  drive = "by hand"
  keep  = { warmup = "5s", length = "60s" }
  variant "plain" { group = "rasterised" }
}

control { cell = [card.tern_ref.stock, game.fjord.plain, resolution.qhd] }
