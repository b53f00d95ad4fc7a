# what was read off instruments and noted by hand at the bench
reading "sound_gannet_stock_1" {
  card = card.gannet.stock
  soak = soak.half_hour
  db   = [43.3, 43.0, 43.1]
}

reading "sound_gannet_stock_2" {
  card   = card.gannet.stock
  soak   = soak.half_hour
  repeat = 2
  db     = [43.6, 43.9, 43.8]
}

reading "sound_gannet_quiet_1" {
  card = card.gannet.quiet
  soak = soak.half_hour
  db   = [37.1, 38.1, 37.7]
}

reading "sound_gannet_quiet_2" {
  card   = card.gannet.quiet
  soak   = soak.half_hour
  repeat = 2
  db     = [37.9, 38.2, 37.5]
}

reading "sound_skua_stock_1" {
  card = card.skua.stock
  soak = soak.half_hour
  db   = [41.9, 41.9, 42.1]
}

reading "sound_skua_stock_2" {
  card   = card.skua.stock
  soak   = soak.half_hour
  repeat = 2
  db     = [42.5, 42.9, 42.3]
}

reading "room_tern_ref" {
  card      = card.tern_ref.stock
  soak      = soak.eight_minutes
  ambient_c = 20.6
}

reading "room_heron_x" {
  card      = card.heron_x.stock
  soak      = soak.eight_minutes
  ambient_c = 21.0
}

reading "room_skua" {
  card      = card.skua.stock
  soak      = soak.eight_minutes
  ambient_c = 20.8
}

reading "desk_tern_ref" {
  card          = card.tern_ref.stock
  soak          = soak.desk
  power_w       = [61.6, 61.4]
  at            = "wall"
  db            = [31.2, 31.2]
  rpm           = 0
  probe         = "core"
  temperature_c = 39
  fan_start_c   = 55
  fan_stop_c    = 46
  ambient_c     = 20.7
}

reading "desk_heron_x" {
  card          = card.heron_x.stock
  soak          = soak.desk
  power_w       = [63.5, 64.5]
  at            = "wall"
  db            = [31.5, 31.3]
  rpm           = 0
  probe         = "core"
  temperature_c = 36
  fan_start_c   = 55
  fan_stop_c    = 46
  ambient_c     = 20.9
}

reading "fan_tern_ref" {
  card  = card.tern_ref.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, rpm = 1026, db = [36.5, 37.1], temperature_c = 90.1, ambient_c = 21.0 },
    { percent = 45, rpm = 1530, db = [42.1, 42.4], temperature_c = 80.2, ambient_c = 21.1 },
    { percent = 60, rpm = 2043, db = [48.2, 48.1], temperature_c = 74.3, ambient_c = 20.7 },
    { percent = 75, rpm = 2557, db = [54.0, 53.7], temperature_c = 71.2, ambient_c = 20.8 },
  ]
}

reading "fan_heron_x" {
  card  = card.heron_x.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, rpm = 896, db = [33.8, 33.7], temperature_c = 69.1, ambient_c = 21.4 },
    { percent = 45, rpm = 1351, db = [39.0, 38.7], temperature_c = 62.4, ambient_c = 21.0 },
    { percent = 60, rpm = 1802, db = [43.9, 43.6], temperature_c = 59.5, ambient_c = 21.0 },
    { percent = 75, rpm = 2259, db = [48.3, 48.1], temperature_c = 58.1, ambient_c = 21.2 },
  ]
}

reading "fan_gannet" {
  card  = card.gannet.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, rpm = 1092, db = [33.0, 33.1], temperature_c = 84.7, ambient_c = 21.0 },
    { percent = 45, rpm = 1624, db = [39.3, 39.3], temperature_c = 77.3, ambient_c = 21.1 },
    { percent = 60, rpm = 2164, db = [45.0, 45.1], temperature_c = 72.6, ambient_c = 20.9 },
    { percent = 75, rpm = 2698, db = [51.5, 51.1], temperature_c = 68.7, ambient_c = 21.1 },
  ]
}
