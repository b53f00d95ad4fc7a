# half an hour of load, twice on each card, the probes left on between the two
soak "half_hour" {
  game       = game.fjord.plain
  resolution = resolution.uhd
  cards      = [card.tern_ref.stock, card.heron_x.stock, card.gannet.stock, card.gannet.quiet, card.skua.stock]
  lead_in    = "30s"
  length     = "30m"
  cooling    = "5m"
  repeats    = 2
  ambient    = { target_c = 21, tolerance_c = 1, reference_c = 21, accuracy_c = 0.5, from = "room" }
  logger     = { name = "eight inputs", accuracy_c = 0.5, resolution_c = 0.01, mount_c = 1.0 }
  noise      = { distance_m = 0.5, background_db = [30.6, 31.0, 31.5], weighting = "A", meter_class = 2, target_db = 42, tolerance_db = 0.5 }

  probe "core" { on_die = "hottest" }
  probe "edge" {
    on_die = "edge"
    cards  = [card.skua.stock]
  }
  probe "board" {
    thermocouple = { type = "K", class = 1, place = "rear of the board, behind the processor" }
  }
  probe "stage_1" {
    thermocouple = { type = "K", class = 1, place = "power stages, top", group = "stages" }
  }
  probe "stage_2" {
    thermocouple = { type = "K", class = 1, place = "power stages, upper middle", group = "stages" }
  }
  probe "stage_3" {
    thermocouple = { type = "K", class = 1, place = "power stages, lower middle", group = "stages" }
  }
  probe "stage_4" {
    thermocouple = { type = "K", class = 1, place = "power stages, bottom", group = "stages" }
  }

  log {
    path  = "soak/{soak}/{card}-{mode}-{repeat}.csv.zst"
    cards = [card.tern_ref.stock, card.heron_x.stock, card.gannet]
    time  = { column = "elapsed_s", unit = "s" }
    channels = {
      core       = { column = "core_temp_c", unit = "C" }
      power      = { column = "board_power_w", unit = "W", at = "reported board" }
      fan        = { column = "fan_rpm", unit = "rpm" }
      core_clock = { column = "core_clock_mhz", unit = "MHz" }
    }
  }
  log { # another maker's program, in whole degrees
    path  = "soak/{soak}/{card}-{mode}-{repeat}.tsv.gz"
    cards = [card.skua.stock]
    time  = { column = "t_ms", unit = "ms" }
    text  = { delimiter = "\t" }
    channels = {
      core       = { column = "hot_spot", unit = "C" }
      edge       = { column = "edge", unit = "C" }
      power      = { column = "board_w", unit = "W", at = "reported board" }
      fan        = { column = "fan", unit = "rpm" }
      core_clock = { column = "clock", unit = "MHz" }
    }
  }

  # the probes' logger is started 12.5 s before the card's log, and stamps lines with the time of day
  log {
    path   = "soak/{soak}/{card}-{mode}-{repeat}-probes.txt.gz"
    cards  = [card.tern_ref.stock, card.heron_x.stock]
    time   = { column = "Zeit", layout = "DD.MM.YYYY hh:mm:ss" }
    offset = "-12.5s"
    text   = { delimiter = ";", decimal = "," }
    channels = {
      board   = { column = "K1", unit = "C" }
      stage_1 = { column = "K2", unit = "C" }
      stage_2 = { column = "K3", unit = "C" }
      stage_3 = { column = "K4", unit = "C" }
      stage_4 = { column = "K5", unit = "C" }
      room    = { column = "K6", unit = "C" }
      level   = { column = "LAeq", unit = "dB" }
    }
  }
  log { # the same logger, read out by another program
    path   = "soak/{soak}/{card}-{mode}-{repeat}-probes.csv.gz"
    cards  = [card.gannet]
    time   = { column = "when", layout = "MM/DD/YYYY hh:mm:ss" }
    offset = "-12.5s"
    channels = {
      board   = { column = "board_f", unit = "F" }
      stage_1 = { column = "s1_f", unit = "F" }
      stage_2 = { column = "s2_f", unit = "F" }
      stage_3 = { column = "s3_f", unit = "F" }
      stage_4 = { column = "s4_f", unit = "F" }
      room    = { column = "room_f", unit = "F" }
    }
  }
  log { # the same logger, its inputs as voltages
    path   = "soak/{soak}/{card}-{mode}-{repeat}-probes.tsv.gz"
    cards  = [card.skua.stock]
    time   = { column = "ms", unit = "ms" }
    offset = "-12.5s"
    text   = { delimiter = "\t" }
    channels = {
      board     = { column = "board_mv", unit = "mV", cold_junction = "terminals" }
      stage_1   = { column = "s1_mv", unit = "mV", cold_junction = "terminals" }
      stage_2   = { column = "s2_mv", unit = "mV", cold_junction = "terminals" }
      stage_3   = { column = "s3_mv", unit = "mV", cold_junction = "terminals" }
      stage_4   = { column = "s4_mv", unit = "mV", cold_junction = "terminals" }
      room      = { column = "room_c", unit = "C" }
      terminals = { column = "terminals_c", unit = "C" }
    }
  }
}

# short, with the frames: what one costs in energy, and whether the card slows down
soak "eight_minutes" {
  game          = game.fjord.plain
  resolution    = resolution.uhd
  cards         = [card.tern_ref.stock, card.heron_x.stock, card.skua.stock]
  lead_in       = "20s"
  length        = "8m"
  ambient       = { target_c = 21, tolerance_c = 1, reference_c = 21, from = "noted" }
  repeatability = { temperature_k = 0.5, power = "1%", clock = "0.5%", energy = "0.5%" }
  probe "core" { on_die = "hottest" }
  log {
    path = "soak/{soak}/{card}.csv.zst"
    time = { column = "elapsed_s", unit = "s" }
    channels = {
      core       = { column = "core_temp_c", unit = "C" }
      power      = { column = "board_power_w", unit = "W", at = "reported board" }
      fan        = { column = "fan_rpm", unit = "rpm" }
      core_clock = { column = "core_clock_mhz", unit = "MHz" }
    }
  }
  frames {
    path        = "soak/{soak}/{card}-frames.csv.zst"
    frame_time  = { column = "frame_ms", unit = "ms" }
    offset      = "+20s"
    measured_at = "present"
  }
}

# nothing to do, noted by hand, once
soak "desk" {
  load    = "two displays"
  note    = "both at 144 Hz"
  cards   = [card.tern_ref.stock, card.heron_x.stock]
  length  = "10m"
  ambient = { target_c = 21, tolerance_c = 1, from = "noted" }
  noise   = { distance_m = 0.5, background_db = [30.6, 31.0, 31.5], weighting = "A", meter_class = 2 }
  probe "core" { on_die = "hottest" }
}

sweep "fan" {
  soak      = soak.half_hour
  cards     = [card.tern_ref.stock, card.heron_x.stock, card.gannet.stock]
  steps_pct = [30, 45, 60, 75]
  hold      = "5m"
}
