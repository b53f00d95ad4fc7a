# What the spring plan leaves out: every other form that an argument may have.
let {
  short = { warmup = 1 > 2 ? "1s" : "2s", length = "12s" }
  cards = [card.wren, card.kite.eco]
}

review "choices" {
  baseline  = card.wren
  bench_day = "6h30m"
  takes     = { startup = "1m", reset = "20s", first_launch = "5m", swap = "10m", driver_change = "20m", preheat = "0s", redo = "20%" }
}

card "wren" { vendor = "wren" }

card "kite" {
  vendor = "kite"
  mode "eco" { settings = { power_pct = 70, fan = "auto", limit = false } }
  mode "tuned" { raises = { power_pct = 10 } }
}

game "reactor" {
  drive  = "replay"
  keep   = let.short
  capped = true
  takes  = { first_launch = "30s" }
  accept {
    max_spread = "1.5%"
  }
}

game "tide" {
  drive = "by hand"
  keep  = "all"
  accept {
    min_length    = "45s"
    max_bad_lines = 2
  }
}

resolution "fhd" { size = "1920x1080" }

accept {
  max_bad_lines = 1
}

matrix {
  cards    = let.cards
  repeats  = 4
  launches = 2
}

files "numbered" {
  path       = "{card}-{mode}/{game}.{size}.r{repeat}.txt.gz"
  text       = { delimiter = ";", decimal = ",", encoding = "windows-1252", skip_lines = 3, comment = "" }
  timestamp  = { column = 1, unit = "us" }
  frame_time = { column = 2, unit = "ns" }
  extra = {
    power = { column = "board power", unit = "w" }
    chip  = { column = 3, unit = "W", at = "reported chip" }
    spot  = { column = "hot spot", unit = "C" }
  }
}

files "logged" {
  log        = "logs/bench.csv"
  text       = { delimiter = "\t", encoding = "utf-16le" }
  frame_time = { column = "ft", unit = "s" }
  sensors {
    path   = "sensors/{card}-{mode}/{game}.{resolution}.{time}.csv"
    text   = { delimiter = ";", decimal = "," }
    time   = { column = "Time", layout = "DD.MM.YYYY hh:mm:ss" }
    offset = "-0.5s"
    channels = {
      spot  = { column = "Hot spot", unit = "F" }
      clock = { column = 4, unit = "MHz" }
    }
  }
  sensors {
    path     = "wall/{card}-{mode}/{game}.{resolution}.{repeat}.csv"
    time     = { column = "t", unit = "min" }
    channels = { wall = { column = "W", unit = "W", at = "wall" } }
  }
}

statistics {
  lows             = "time_share"
  margin           = "2%"
  margin_k         = 1.5
  session_spread_db = 0.25
  expected_spread  = "0.8%"
}

claim "sixty" {
  metric = "low1_quantile_fps"
  of     = card.wren
  where  = { games = [game.tide] }
  expect = { at_least = 60, at_most = 75.5, unit = "fps" }
}

claim "cooler" {
  metric  = "start_temp_c"
  of      = card.kite.eco
  against = card.wren
  expect  = { value = -3, within = 1, unit = "K" }
}

claim "level" {
  metric  = "mean_fps"
  of      = card.kite.eco
  against = card.wren
  expect  = { same = true }
}

look {
  fonts  = ["fonts/Plain.ttf", "fonts/./Bold.OTF"]
  accent = "#1C7A4D"
  footer = "The Quay"
  size   = "115.0%"
}
