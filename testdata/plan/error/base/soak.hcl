# One soak with what readings and claims can be wrong about.
soak "bench" {
  game       = game.fjord
  resolution = resolution.uhd
  cards      = [card.tern_ref, card.heron_x.stock]
  length     = "30m"
  ambient    = { target_c = 21, from = "room" }
  noise      = { distance_m = 0.5, weighting = "A", meter_class = 2 }
  probe "core" { on_die = "hottest" }
  probe "board" {
    thermocouple = { type = "K", class = 1, place = "rear of the board", group = "rear" }
    cards        = [card.heron_x.stock]
  }
  log {
    path = "soak/{soak}-{card}.csv"
    time = { column = "t", unit = "s" }
    channels = {
      core       = { column = "core_c", unit = "C" }
      room       = { column = "room_c", unit = "C" }
      fan        = { column = "fan_rpm", unit = "rpm" }
      core_clock = { column = "core_mhz", unit = "MHz" }
      mem_clock  = { column = "mem_mhz", unit = "MHz" }
    }
  }
  log {
    path     = "soak/{soak}-{card}-chip.csv"
    cards    = [card.tern_ref]
    time     = { column = "t", unit = "s" }
    channels = { chip = { column = "w", unit = "W", at = "reported chip" } }
  }
  log {
    path  = "soak/{soak}-{card}-board.csv"
    cards = [card.heron_x.stock]
    time  = { column = "t", unit = "s" }
    channels = {
      board   = { column = "ch1", unit = "C" }
      power   = { column = "w", unit = "W", at = "reported board" }
      plugged = { column = "w2", unit = "W", at = "wall" }
    }
  }
}

# A load without anything but its length.
soak "bare" {
  load    = "idle"
  cards   = [card.heron_x.stock]
  length  = "10m"
  ambient = { target_c = 21, from = "none" }
  probe "edge" { on_die = "edge" }
  log {
    path     = "idle.csv"
    time     = { column = "t", unit = "s" }
    channels = { edge = { column = "edge_c", unit = "C" } }
  }
}

sweep "fan" {
  soak      = soak.bench
  cards     = [card.heron_x.stock]
  steps_pct = [30, 60]
  hold      = "5m"
}
