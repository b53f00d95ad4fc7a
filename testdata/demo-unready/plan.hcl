# One cell of every kind of trouble. The comments say what is meant to be found.

review "demo_unready" {
  title    = "The same bench a week before filming"
  due      = "2027-03-04T14:00:00Z"
  rig      = rig.bench_a
  baseline = card.tern_ref.stock
}

rig "bench_a" {
  fixed = { cpu = "sixteen cores, boost fixed at 5.0 GHz", display_hz = 144, enclosure = "open bench" }
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }

card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "marram"
  driver = "612.4" # the bench log has 610.9 for fjord at qhd: stale
  sample = { origin = "bought", here_from = "2026-09-01" }
  mode "stock" {}
}

card "heron_x" {
  name   = "Heron X partner card"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "lent by maker", here_from = "2027-02-20", leaves = "2027-03-01" }
  mode "stock" {}
  mode "tuned" {
    raises = { core_mhz = 90, memory_mhz = 700, power_pct = 10 }
  }
}

let {
  kept = { warmup = "2s", length = "8s" }
}

game "fjord" {
  name  = "Fjord"
  build = "1.8.2"
  scene = "harbour flyover, short"
  drive = "built-in"
  keep  = let.kept
}

game "bazaar" {
  name  = "Bazaar"
  build = "3.0.11"
  scene = "market day, ten stalls"
  drive = "replay"
  keep  = let.kept
}

game "kelp" {
  name  = "Kelp"
  build = "0.9.40"
  scene = "reef, first bay"
  drive = "by hand"
  keep  = let.kept
}

game "quarry" {
  name  = "Quarry"
  build = "2.1"
  scene = "first bend of the haul road"
  drive = "replay"
  keep  = let.kept
}

matrix {
  repeats = 3 # tern_ref bazaar uhd has four passes, and none is void
  waive {
    cards       = [card.heron_x.tuned]
    games       = [game.kelp]
    resolutions = [resolution.qhd]
    reason      = "tuned is for the 2160p comparison"
  }
}

files "export" {
  path        = "captures/{card}-{mode}/{game}_{resolution}_{repeat}.csv.zst"
  log         = "bench.csv"
  text        = { delimiter = ";", decimal = ",", encoding = "auto", skip_lines = 2 }
  timestamp   = { column = "time_s", unit = "s" }
  measured_at = "present"
}

accept {
  min_length    = "7.5s" # tern_ref bazaar qhd, pass 3, stops after 6 s
  max_spread    = "3%"   # heron_x·stock fjord uhd: pass 2 is slow from 5 to 9 s
  max_bad_lines = 0      # heron_x·stock bazaar uhd, pass 1, has three
}

# replaced by pass 4
void "captures/heron_x-stock/quarry_uhd_2.csv.zst" { reason = "an update started in the background" }

vouch {
  cell   = [card.tern_ref.stock, game.quarry.plain, resolution.qhd]
  reason = "the truck takes one of two roads; the spread is the game's own"
}
