# Two cards with their facts and prices; what is soaked stands in the second file.
review "soaks" {
  baseline = card.tern_ref.stock
  takes    = { probes = "25m" }
}

card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "tern"
  price  = { amount = 589, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" }
  memory = { rate_gtps = 20, bus_bits = 256 }
  body   = { length_mm = 262, slots = 2, mass_g = 1180 }
  mode "stock" {
    limit = { power_w = 250, temperature_c = 88 }
  }
}

card "heron_x" {
  name   = "Heron X"
  vendor = "heron"
  price = [ # the newest of a kind counts; only like ones are compared
    { amount = 649, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" },
    { amount = 629, currency = "EUR", kind = "list", tax = true, on = "2027-02-25" },
    { amount = 618.90, currency = "EUR", kind = "street", place = "two shops on the quay", tax = true, on = "2027-02-24" },
  ]
  memory     = { rate_gtps = 21, bus_bits = 256 }
  body       = { length_mm = 318, slots = 3, mass_g = 1640 }
  parts_g    = { heatsink = 905, fans = 171, backplate = 88.5 }
  connectors = { power_8_pin = 2, display = 4 }
  phases = [ # 8 + 6 + 4 phases, of which two carry two stages
    { feeds = "core", count = 6 },
    { feeds = "core", count = 2, stages_each = 2 },
    { feeds = "core, second rail", count = 6 },
    { feeds = "memory", count = 4 },
  ]
  mode "stock" {
    limit = { power_w = 300 }
  }
  mode "tuned" {
    limit = { power_w = 320 }
  }
  mode "quiet" {
    firmware = "quiet"
  }
}

game "fjord" {
  drive = "built-in"
  keep  = { warmup = "10s", length = "60s" }
  variant "plain" { group = "rasterised" }
}

resolution "uhd" { size = "3840x2160" }

matrix {
  cards = [card.tern_ref, card.heron_x.stock]
}

files "csv" {
  path       = "captures/{card}-{mode}/{game}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
