review "spring-roundup" {
  title    = "Spring round-up: two partner cards against the reference"
  due      = "2027-03-04T14:00:00Z"    # filming; RFC 3339
  rig      = rig.bench_a
  baseline = card.tern_ref.stock       # the card and mode that percentages refer to
  archive  = "archive"                 # relative to the plan
}

rig "bench_a" {
  fixed = { cpu = "16 cores", memory = "64 GB", os = "11.4", resizable_memory_access = true, power_plan = "high", display_hz = 144, enclosure = "closed case" }
  notes = { chair = "archived, never compared" }         # fixed is part of comparability, notes is not
}

card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "tern"
  driver = "612.4"
  sample = { origin = "lent by maker", here_from = "2027-02-20", leaves = "2027-03-01" }
  price  = { amount = 589, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" }
  memory = { rate_gtps = 20, bus_bits = 256 }            # → bandwidth
  body   = { length_mm = 262, slots = 2, mass_g = 1180 }
  mode "stock" {}
  mode "tuned" { raises = { core_mhz = 90, memory_mhz = 700, power_pct = 10 } }   # meant to be faster than stock
  mode "quiet" { firmware = "quiet" }
}

game "fjord" {
  name    = "Fjord Run"
  build   = "1.8.2"
  scene   = "harbour flyover"
  drive   = "built-in"                 # or "replay", "by hand"
  keep    = { warmup = "10s", length = "60s" }   # the first 10 s of a capture are cut, the next 60 s kept; or keep = "all"
  takes   = { startup = "3m", reset = "45s" }    # for the time estimate: launching; back to the scene's start
  variant "plain" {
    group    = "rasterised"
    settings = { preset = "highest", api = "third" }
  }
  variant "rays_up" {
    group    = "ray traced"
    settings = { ray_tracing = "high", upscaler = "quality", generated_frames = 0 }
  }
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }

matrix {                               # an omitted list means all of them; several matrix blocks add up
  cards       = [card.tern_ref.stock, card.heron_x]           # a card alone: all its modes
  games       = [game.fjord, game.bazaar.plain]               # a game alone: all its variants
  resolutions = [resolution.qhd, resolution.uhd]
  repeats     = 3                      # passes; each in a launch of its own unless launches = … says fewer
  waive {
    cards  = [card.heron_x.tuned]
    games  = [game.bazaar]
    reason = "tuned profile is for the soak only"
  }
}

files "bench_log" {                    # how raw files are found and read
  path       = "captures/{card}-{mode}/{game}_{resolution}_{repeat}.csv"
  text       = { delimiter = ",", decimal = ".", encoding = "auto", skip_lines = 0, comment = "#" }
  frame_time = { column = "frame_ms", unit = "ms" }      # or timestamp = { column = "t", unit = "s" }, or both
  keep_rows  = { column = "process", equals = "fjord" }  # logs may mix programs
  measured_at = "present"                                # submit | present | display; unlike ones are never compared
  extra      = { submit = { column = "submit_ms", unit = "ms" } }   # carried along, archived as submit_ns
}

accept {                               # what makes a pass doubtful; also inside a game, overriding what it names
  min_length    = "55s"
  max_spread    = "3%"                 # across the repeats of a cell, of mean fps
  max_bad_lines = 0
}

void "captures/heron_x-stock/fjord_uhd_2.csv" { reason = "update started in the background" }
vouch {
  cell   = [card.heron_x.stock, game.bazaar.plain, resolution.qhd]
  reason = "host-limited scene; spread is real"
}

statistics {
  quantile = 7                         # Hyndman & Fan definition
  lows     = "quantile"                # or "tail_mean", "time_share": which definition the charts show
  margin   = "1%"                      # differences smaller than this do not matter to a buyer
  session_spread = "0.2%"              # what a card swap alone moves, until control passes tell
}

claim "uhd_lead" {
  says    = "about five percent faster at 2160p"
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { resolutions = [resolution.uhd] }           # several cells → geometric mean of ratios
  expect  = { percent = 5, within = 1 }                  # or at_least, at_most, same = true; units where not percent
}
