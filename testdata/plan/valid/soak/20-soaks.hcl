soak "half_hour" {
  game       = game.fjord.plain
  resolution = resolution.uhd
  cards      = [card.tern_ref.stock, card.heron_x] # left out: every mode of every card
  length     = "30m"                               # of the load
  settle     = "3m"                                # its end, over which end-of-soak figures are means
  cooling    = "5m"                                # logged after the load
  repeats    = 2
  ambient    = { target_c = 21, tolerance_c = 1.5, reference_c = 22, accuracy_c = 0.3, from = "room" }
  logger     = { name = "four channels", accuracy_c = 0.5, resolution_c = 0.1, mount_c = 0.8 }
  noise = {
    distance_m    = 0.5
    background_db = [31.0, 31.2, 30.9]
    weighting     = "A"
    meter_class   = 2
    free_field    = true
    reference_m   = 1
    target_db     = 38
    tolerance_db  = 1
  }
  repeatability = { temperature_k = 0.6, noise_db = 0.4, power = "1%", fan = "2%", clock = "0.5%", energy = "1.5%" }

  probe "core" { on_die = "hottest" }
  probe "edge" {
    on_die = "edge"
    cards  = [card.tern_ref]
  }
  probe "board" {
    thermocouple = { type = "K", class = 1, place = "rear of the board, behind the processor" }
  }
  probe "stage_1" {
    thermocouple = { type = "K", class = 2, place = "power stages, top", group = "stages" }
  }
  probe "stage_2" {
    thermocouple = { type = "K", place = "power stages, bottom", group = "stages", per_card = true }
  }

  log {
    path = "soak/{soak}/{card}-{mode}-{repeat}.csv"
    time = { column = "elapsed_s", unit = "s" }
    text = { delimiter = ";", decimal = "," }
    channels = {
      core         = { column = "core_temp_c", unit = "C" }
      power        = { column = "board_power_w", unit = "W", at = "reported board" }
      fan          = { column = "fan_rpm", unit = "rpm" }
      fan_duty     = { column = "fan_pct", unit = "pct" }
      core_clock   = { column = "core_clock_mhz", unit = "MHz" }
      memory_clock = { column = "mem_clock_mhz", unit = "MHz" }
    }
  }
  log { # the reference card's own column, in a log of its own
    path     = "soak/{soak}/{card}-{repeat}-edge.csv"
    cards    = [card.tern_ref]
    time     = { column = 1, unit = "ms" }
    channels = { edge = { column = "edge_f", unit = "F" } }
  }
  log { # the thermocouples' logger; its clock is 2.5 s ahead
    path   = "soak/{soak}/probes_{card}_{mode}_{repeat}.txt"
    time   = { column = "when", layout = "DD.MM.YYYY hh:mm:ss" }
    offset = "-2.5s"
    except = [
      { card = card.heron_x.quiet, path = "soak/half_hour/quiet again.txt", repeat = 2 },
      { card = card.heron_x.tuned, offset = "+1m" },
    ]
    channels = {
      board    = { column = "ch1", unit = "C" }
      stage_1  = { column = "ch2", unit = "mV", cold_junction = "terminal" }
      stage_2  = { column = "ch3", unit = "K" }
      terminal = { column = "cj", unit = "C" }
      room     = { column = "ch4", unit = "C" }
      level    = { column = "laeq", unit = "dB" }
    }
  }
  frames {
    path        = "soak/{soak}/{card}-{mode}-{repeat}.frames.csv"
    timestamp   = { column = "elapsed_s", unit = "s" }
    frame_time  = { column = "frame_ms", unit = "ms" }
    measured_at = "present"
  }
}

soak "desk" {
  load    = "two displays"
  note    = "both at 144 Hz"
  cards   = [card.heron_x.stock]
  length  = "10m"
  ambient = { target_c = 21 } # readings say what it was
  noise   = { distance_m = 0.5, weighting = "A", meter_class = 2 }
}

soak "held" {
  load       = "capped"
  game       = game.fjord
  resolution = resolution.uhd
  cap_fps    = 60
  cards      = [card.tern_ref]
  length     = "15m"
  ambient    = { target_c = 21, from = "none" }
  log {
    path     = "soak/held.csv"
    time     = { column = "t", unit = "s" }
    channels = { power = { column = "w", unit = "W", at = "in line" } }
  }
}

soak "batches" { # a load that is no game; each batch of its work counts as a frame
  load    = "other"
  note    = "matrix products"
  cards   = [card.tern_ref]
  lead_in = "15s" # logged before the load begins
  length  = "5m"
  cooling = "90s"
  ambient = { target_c = 21, from = "none" }
  log {
    path     = "{card}.{soak}.sensors.csv"
    time     = { column = "elapsed_s", unit = "s" }
    channels = { power = { column = "board_power_w", unit = "W", at = "reported board" } }
  }
  frames {
    path       = "{card}.{soak}.frames.csv"
    timestamp  = { column = "elapsed_s", unit = "s" }
    frame_time = { column = "frame_ms", unit = "ms" }
  }
}

sweep "fan" {
  soak      = soak.half_hour
  cards     = [card.heron_x.stock]
  steps_pct = [30, 45, 60]
  hold      = "5m"
}

reading "sound_heron" {
  card          = card.heron_x.stock
  soak          = soak.half_hour
  repeat        = 2
  db            = [42.1, 42.0, 42.3]
  background_db = [30.8, 31.0]
  ambient_c     = 21.4
  on            = "2027-02-22T15:00:00Z"
  note          = "meter on the tripod"
  file          = "photos/meter.jpg"
}

reading "desk_heron" {
  card          = card.heron_x.stock
  soak          = soak.desk
  power_w       = [31.5, 31.9]
  at            = "wall"
  db            = 31
  rpm           = 0
  fan_start_c   = 55
  fan_stop_c    = 46.5
  ambient_c     = 20.9
}

reading "fan_heron" {
  card  = card.heron_x.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, rpm = 900, db = [34.1, 34.3], temperature_c = 74, ambient_c = 21.2 },
    { percent = 45, rpm = 1350, db = 39.5, temperature_c = 67.5 },
    { percent = 60, rpm = 1810, db = 45, temperature_c = 63 },
  ]
}

claim "cooler" {
  says    = "the board stays eight kelvins cooler"
  metric  = "rise_k"
  soak    = soak.half_hour
  probe   = "board"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { value = -8, within = 1.5, unit = "K" }
}

claim "stages" {
  metric = "sustained_peak_c"
  soak   = soak.half_hour
  group  = "stages"
  of     = card.heron_x.tuned
  expect = { at_most = 95, unit = "°C" }
}

claim "quieter" {
  metric  = "sound_level_db"
  soak    = soak.half_hour
  of      = card.heron_x.quiet
  against = card.heron_x.stock
  expect  = { at_most = -2, unit = "dB" }
}

claim "thrift" {
  metric  = "mean_power_w"
  soak    = soak.half_hour
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = 25 }
}

claim "clock" {
  metric  = "clock_median_mhz"
  soak    = soak.half_hour
  channel = "core_clock"
  of      = card.heron_x.tuned
  against = card.heron_x.stock
  expect  = { at_least = 2 }
}

claim "fan_stops" {
  metric = "fan_start_c"
  soak   = soak.desk
  of     = card.heron_x.stock
  expect = { value = 55, within = 1, unit = "°C" }
}

claim "longer" {
  fact    = "length_mm"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { value = 56, within = 1, unit = "mm" }
}

claim "twenty_stages" {
  fact   = "power_stages"
  of     = card.heron_x.stock
  expect = { value = 20, unit = "power_stages" }
}

claim "worth" {
  metric  = "price_per_fps"
  price   = { kind = "list", currency = "EUR", tax = true }
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { resolutions = [resolution.uhd] }
  expect  = { at_most = 3 }
}

claim "fair_price" {
  metric  = "break_even_price"
  price   = { kind = "list" }
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_least = 600, unit = "EUR" }
}
