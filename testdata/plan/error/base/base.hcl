# A plan without a fault. Every fixture beside this folder is read together with it, unless its first line is "# ALONE".
review "spring" {
  baseline = card.tern_ref.stock
  rig      = rig.bench_a
}

rig "bench_a" { fixed = { display_hz = 144 } }

card "tern_ref" {
  vendor = "tern"
  driver = "612.4"
}

card "heron_x" {
  vendor = "heron"
  driver = "27.2"
  mode "stock" {}
  mode "tuned" { raises = { power_pct = 10 } }
}

game "fjord" {
  drive = "built-in"
  keep  = { warmup = "10s", length = "60s" }
}

game "bazaar" {
  drive = "replay"
  keep  = "all"
  variant "plain" { group = "rasterised" }
  variant "rays_up" { group = "ray traced" }
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }

matrix {
}

files "csv" {
  path       = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
