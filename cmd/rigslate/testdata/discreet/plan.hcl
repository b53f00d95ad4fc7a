# Every text of this plan that a reviewer can choose says something that is withheld: the card's label, its other names, or a private word.
# All of them hold "qzxsecret", which nothing may show before the embargo.
let {
  qzxsecret_card_unused = "nothing refers to this"
}

review "launch-of-qzxsecret_card" {
  title    = "QZXsecret Nine against what there was; ask QZXsecret-contact"
  licence  = "CC BY 4.0, by QZXsecret-contact"
  rig      = rig.bench-qzxsecret_card
  baseline = card.tern_ref.stock
  archive  = "archive-QZXsecret-Nine"
  due      = "2027-03-20T12:00:00Z"
  private {
    qzxsecret_path = "//bench/qzxsecret/launch"
    phone          = "+49 555 0100 qzxsecret"
  }
}

rig "bench-qzxsecret_card" {
  fixed = { cpu = "sixteen cores", qzxsecret_card_slot = "where the QZXsecret Nine sits" }
  notes = { qzxsecret_card_note = "QZXsecret-SN-0417 came in a plain box" }
  private {
    qzxsecret_desk = "qzxsecret desk"
  }
}

card "tern_ref" {
  name   = "Tern 7 reference, which the QZXsecret Nine follows"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "bought before the QZXsecret Nine came" }
  price  = { amount = 589, currency = "EUR", kind = "list", tax = true, place = "the shop of QZXsecret-contact" }
}

card "qzxsecret_card" {
  name     = "QZXsecret Nine \"partner\" card"
  codename = "osprey"
  known_as = ["QZXsecret Nine", "QZXsecret9"]
  embargo  = "2027-03-04T14:00:00+01:00"
  vendor   = "qzxsecretmaker"
  driver   = "qzxsecret-driver 27.2"
  sample   = { origin = "lent by qzxsecretmaker", leaves = "2027-03-10" }
  price = [
    { amount = 649, currency = "EUR", kind = "list", tax = true, place = "the shop of QZXsecret-contact" },
    { amount = 629, currency = "EUR", kind = "qzxsecret_card offer", tax = true, place = "the shop of QZXsecret-contact" },
  ]
  body       = { length_mm = 318, qzxsecret_card_mm = 40 }
  parts_g    = { qzxsecret_card_fan = 90 }
  connectors = { qzxsecret_card_plug = 2 }
  phases     = [{ feeds = "core of the QZXsecret Nine", count = 6 }]
  mode "stock" {
    limit    = { qzxsecret_card_power_w = 265 }
    firmware = "first of the QZXsecret Nine"
  }
  mode "qzxsecret_card_fast" {
    raises   = { qzxsecret_card_mhz = 90 }
    settings = { qzxsecret_card_key = "as QZXsecret-contact says" }
  }
  private {
    qzxsecret_serial  = "QZXsecret-SN-0417"
    qzxsecret_contact = "QZXsecret-contact"
  }
}

game "fjord-qzxsecret_card" {
  name  = "Fjord, the QZXsecret Nine cut"
  build = "1.8 for qzxsecret_card"
  scene = "harbour; seen on QZXsecret-SN-0417"
  drive = "built-in"
  keep  = "all"
  variant "qzxsecret_card_look" {
    group    = "QZXsecret Nine group"
    settings = { preset = "as on the QZXsecret Nine", qzxsecret_card_set = "QZXsecret-SN-0417" }
  }
}

resolution "uhd-qzxsecret_card" { size = "3840x2160" }

matrix {
  repeats = 3
  waive {
    cards       = [card.qzxsecret_card.qzxsecret_card_fast]
    games       = [game.fjord-qzxsecret_card.qzxsecret_card_look]
    resolutions = [resolution.uhd-qzxsecret_card]
    reason = "QZXsecret-contact asked for the QZXsecret Nine as shipped"
  }
}

files "log-qzxsecret_card" {
  path        = "captures/qzxsecret_card/{card}-{mode}/{game}-{variant}_{resolution}_{repeat}.csv"
  log         = "bench-qzxsecret_card.csv"
  text        = { delimiter = ",", decimal = ".", comment = "#" }
  frame_time  = { column = "qzxsecret_card ms", unit = "ms" }
  keep_rows   = { column = "qzxsecret_card program", equals = "fjord for QZXsecret-SN-0417" }
  measured_at = "present"
  extra       = { qzxsecret_card_load = { column = "qzxsecret_card load", unit = "pct" } }
  sensors {
    path     = "captures/qzxsecret_card/{card}-{mode}/{game}-{variant}_{resolution}_{repeat}.power"
    time     = { column = "qzxsecret_card s", unit = "s" }
    channels = { qzxsecret_card_watts = { column = "qzxsecret_card w", unit = "W", at = "reported board" } }
  }
}

files "other-qzxsecret_card" {
  path      = "captures/qzxsecret_card/others/{card}-{mode}/{game}-{variant}_{resolution}_{repeat}.csv"
  timestamp = { column = "qzxsecret_card at", unit = "s" }
}

look {
  fonts  = ["fonts/qzxsecret_card.ttf"]
  footer = "QZXsecret-contact on the QZXsecret Nine"
}

accept {
  min_length    = "1s"
  max_bad_lines = 3
}

void "captures/qzxsecret_card/qzxsecret_card-stock/fjord-qzxsecret_card-qzxsecret_card_look_uhd-qzxsecret_card_4.csv" {
  reason = "QZXsecret-contact called during it"
}

control { cell = [card.tern_ref.stock, game.fjord-qzxsecret_card, resolution.uhd-qzxsecret_card] }

vouch {
  cell   = [card.qzxsecret_card.stock, game.fjord-qzxsecret_card.qzxsecret_card_look, resolution.uhd-qzxsecret_card]
  reason = "the QZXsecret Nine is like that, says QZXsecret-contact"
}

reuse "reuse-qzxsecret_card" {
  review  = "first-qzxsecret_card"
  cards   = [card.qzxsecret_card.stock]
  max_age = "90d"
}

soak "soak-qzxsecret_card" {
  game    = game.fjord-qzxsecret_card
  resolution = resolution.uhd-qzxsecret_card
  note    = "QZXsecret Nine on the qzxsecret desk"
  cards   = [card.tern_ref.stock, card.qzxsecret_card.stock]
  length  = "4m"
  settle  = "1m"
  ambient = { target_c = 21, from = "room" }
  logger  = { name = "logger of QZXsecret-contact", accuracy_c = 0.5, resolution_c = 0.1 }
  noise   = { distance_m = 0.5, background_db = [30.0, 30.2, 30.1], weighting = "A", meter_class = 2 }
  probe "qzxsecret_card_core" { on_die = "hottest" }
  probe "qzxsecret_card_vr" {
    thermocouple = { type = "K", class = 1, place = "stages of the QZXsecret Nine", group = "qzxsecret_card_stages" }
  }
  log {
    path = "soak/qzxsecret_card/{soak}-{card}-{mode}-{repeat}.csv"
    time = { column = "qzxsecret_card s", unit = "s" }
    except = [
      { card = card.tern_ref.stock, path = "soak/qzxsecret_card/other tern_ref.csv" },
      { card = card.qzxsecret_card.stock, offset = "+0s" },
    ]
    channels = {
      qzxsecret_card_core = { column = "qzxsecret_card core", unit = "C" }
      qzxsecret_card_vr   = { column = "qzxsecret_card vr", unit = "C" }
      room                = { column = "qzxsecret_card room", unit = "C" }
      qzxsecret_card_w    = { column = "qzxsecret_card w", unit = "W", at = "reported board" }
    }
  }
  frames {
    path       = "soak/qzxsecret_card/{soak}-{card}-{mode}-{repeat}.frames"
    frame_time = { column = "qzxsecret_card ms", unit = "ms" }
    timestamp  = { column = "qzxsecret_card at", unit = "s" }
    keep_rows  = { column = "qzxsecret_card program", equals = "fjord for QZXsecret-SN-0417" }
    except     = [{ card = card.qzxsecret_card.stock, path = "soak/qzxsecret_card/frames QZXsecret Nine.csv" }]
  }
}

sweep "sweep-qzxsecret_card" {
  soak      = soak.soak-qzxsecret_card
  cards     = [card.qzxsecret_card.stock]
  steps_pct = [30, 60]
  hold      = "5m"
}

reading "reading-qzxsecret_card" {
  card  = card.qzxsecret_card.stock
  soak  = soak.soak-qzxsecret_card
  db    = [36.5, 37.1]
  note  = "heard by QZXsecret-contact beside the QZXsecret Nine"
  file  = "noise/qzxsecret_card.wav"
}

claim "qzxsecret_card_lead" {
  says    = "the QZXsecret Nine is about five percent faster than QZXsecret-SN-0417 hoped"
  metric  = "mean_fps"
  of      = card.qzxsecret_card.stock
  against = card.tern_ref.stock
  where   = { groups = ["QZXsecret Nine group"], resolutions = [resolution.uhd-qzxsecret_card], games = [game.fjord-qzxsecret_card] }
  expect  = { percent = 5, within = 1 }
}

claim "qzxsecret_card_cool" {
  says    = "the QZXsecret Nine's stages stay cooler"
  metric  = "rise_k"
  soak    = soak.soak-qzxsecret_card
  group   = "qzxsecret_card_stages"
  of      = card.qzxsecret_card.stock
  against = card.tern_ref.stock
  expect  = { at_most = -1, unit = "K" }
}

claim "qzxsecret_card_core" {
  says    = "the QZXsecret Nine's core stays cooler"
  metric  = "rise_k"
  soak    = soak.soak-qzxsecret_card
  probe   = "qzxsecret_card_core"
  of      = card.qzxsecret_card.stock
  against = card.tern_ref.stock
  expect  = { at_most = -1, unit = "K" }
}

claim "qzxsecret_card_tern" {
  says    = "the other way round"
  metric  = "mean_fps"
  of      = card.tern_ref.stock
  against = card.qzxsecret_card.stock
  expect  = { same = true }
}

claim "qzxsecret_card_worth" {
  says    = "the QZXsecret Nine is worth it"
  metric  = "price"
  price   = { kind = "list", place = "the shop of QZXsecret-contact" }
  of      = card.qzxsecret_card.stock
  against = card.tern_ref.stock
  expect  = { at_most = 10 }
}
