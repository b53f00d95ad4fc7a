# Eight soaks of one card, each with something the matter: what doubtful soaks, and soaks to be spoken of with care, look like.
review "demo_doubtful" {
  title    = "What can be the matter with a soak"
  baseline = card.tern_ref.stock
}

card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "marram"
  driver = "612.4"
}

game "fjord" {
  name  = "Fjord"
  build = "1.8.2"
  scene = "harbour flyover"
  drive = "built-in"
  keep  = { warmup = "3s", length = "30s" }
  variant "plain" { group = "rasterised" }
}

resolution "uhd" { size = "3840x2160" }

matrix { repeats = 1 }

# no pass was made, this review is of soaks
files "none" {
  path       = "captures/{card}_{game}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}

soak "twelve_minutes" {
  game       = game.fjord.plain
  resolution = resolution.uhd
  cards      = [card.tern_ref.stock]
  length     = "12m"
  repeats    = 8
  ambient    = { target_c = 21, tolerance_c = 1, reference_c = 21, from = "room" }
  logger     = { accuracy_c = 0.5, resolution_c = 0.01, mount_c = 1.0 }

  probe "core" { on_die = "hottest" }
  probe "board" {
    thermocouple = { type = "K", class = 1, place = "rear of the board, behind the processor" }
  }

  log {
    time = { column = "elapsed_s", unit = "s" }
    except = [
      { card = card.tern_ref.stock, repeat = 1, path = "soak/probe-comes-off.csv" },
      { card = card.tern_ref.stock, repeat = 2, path = "soak/sensor-stuck.csv" },
      { card = card.tern_ref.stock, repeat = 3, path = "soak/log-has-a-gap.csv" },
      { card = card.tern_ref.stock, repeat = 4, path = "soak/room-warms-up.csv" },
      { card = card.tern_ref.stock, repeat = 5, path = "soak/room-too-warm.csv" },
      { card = card.tern_ref.stock, repeat = 6, path = "soak/stopped-early.csv" },
      { card = card.tern_ref.stock, repeat = 7, path = "soak/clock-gives-way.csv" },
      { card = card.tern_ref.stock, repeat = 8, path = "soak/held-by-limit.csv" },
    ]
    channels = {
      core       = { column = "core_c", unit = "C" }
      board      = { column = "board_c", unit = "C" }
      room       = { column = "room_c", unit = "C" }
      power      = { column = "power_w", unit = "W", at = "reported board" }
      core_clock = { column = "clock_mhz", unit = "MHz" }
    }
  }
}
