review "demo" {
  title    = "Three invented cards against an invented reference"
  rig      = rig.bench_a
  baseline = card.tern_ref.stock
  archive  = "archive"
}

matrix {
  repeats = 3
  waive {
    cards  = [card.gannet.quiet]
    games  = [game.bazaar, game.orrery]
    reason = "the card does not set the pace there, so its quiet firmware cannot show"
  }
  waive {
    cards       = [card.skua]
    games       = [game.fjord.rays_up]
    resolutions = [resolution.uhd]
    reason      = "far from playable on this card"
  }
}

# the control cell: three passes in the baseline's own session and one more each time it went back on the rig
matrix {
  cards       = [card.tern_ref.stock]
  games       = [game.fjord.plain]
  resolutions = [resolution.qhd]
  repeats     = 6
}

control {
  cell = [card.tern_ref.stock, game.fjord.plain, resolution.qhd]
}

files "frame_times" {
  path        = "captures/{card}-{mode}/{game}-{variant}_{resolution}_{repeat}.csv.zst"
  log         = "bench.csv"
  text        = { delimiter = ",", decimal = ".", encoding = "auto", comment = "#" }
  frame_time  = { column = "frame_ms", unit = "ms" }
  measured_at = "present"
}

files "replays" {
  path        = "captures/replays/{card}-{mode}/{game}_{resolution}_{repeat}.tsv.gz"
  log         = "bench.csv"
  text        = { delimiter = "\t", decimal = ".", encoding = "auto" }
  frame_time  = { column = "frame_us", unit = "us" }
  keep_rows   = { column = "program", equals = "bazaar" }
  measured_at = "present"
}

accept {
  min_length    = "29s"
  max_spread    = "3%"
  max_bad_lines = 0
}

vouch {
  cell   = [card.gannet.quiet, game.kelp.plain, resolution.uhd]
  reason = "the game draws its weather by lot and it rained in pass 2; the spread is the game's own"
}

statistics {
  quantile       = 7
  lows           = "quantile"
  margin         = "1%"
  session_spread = "0.2%"
}

claim "uhd_lead" {
  says    = "about five percent faster at 2160p"
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { games = [game.fjord.plain, game.kelp, game.quarry], resolutions = [resolution.uhd] }
  expect  = { percent = 5, within = 1 }
}

claim "as_fast_as_reference" {
  says    = "the cheapest of the three is exactly as fast as the reference"
  metric  = "mean_fps"
  of      = card.gannet.stock
  against = card.tern_ref.stock
  expect  = { same = true }
}

claim "tuning_step" {
  says    = "raising the limits by hand is worth at least two percent"
  metric  = "mean_fps"
  of      = card.heron_x.tuned
  against = card.heron_x.stock
  where   = { resolutions = [resolution.uhd] }
  expect  = { at_least = 2 }
}
