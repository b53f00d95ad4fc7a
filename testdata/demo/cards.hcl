card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "bought", here_from = "2026-09-01" }
  price = [
    { amount = 589, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" },
    { amount = 574.90, currency = "EUR", kind = "street", place = "two shops on the quay", tax = true, on = "2026-10-20" },
  ]
  memory     = { rate_gtps = 20, bus_bits = 256 }
  body       = { length_mm = 262, slots = 2, mass_g = 1180 }
  parts_g    = { heatsink = 610, fans = 118, backplate = 62 }
  connectors = { power_8_pin = 2, display = 4 }
  phases = [
    { feeds = "core", count = 8 },
    { feeds = "core, second rail", count = 4 },
    { feeds = "memory", count = 2 },
  ]
  mode "stock" {
    limit = { power_w = 260 }
  }
}

card "heron_x" {
  name   = "Heron X partner card"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "lent by maker", here_from = "2026-10-05" }
  price = [
    { amount = 649, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" },
    { amount = 611.90, currency = "EUR", kind = "street", place = "two shops on the quay", tax = true, on = "2026-10-20" },
  ]
  memory     = { rate_gtps = 21, bus_bits = 256 }
  body       = { length_mm = 318, slots = 3, mass_g = 1640 }
  parts_g    = { heatsink = 905, fans = 171, backplate = 88.5 }
  connectors = { power_8_pin = 2, display = 4 }
  phases = [ # 8 + 6 + 4 phases, of which two carry two stages: 20 stages
    { feeds = "core", count = 6 },
    { feeds = "core", count = 2, stages_each = 2 },
    { feeds = "core, second rail", count = 6 },
    { feeds = "memory", count = 4 },
  ]
  mode "stock" {
    limit = { power_w = 265 }
  }
  mode "tuned" {
    limit  = { power_w = 292 }
    raises = { core_mhz = 90, memory_mhz = 700, power_pct = 10 }
  }
}

card "gannet" {
  name   = "Gannet dual-fan"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "lent by a shop", here_from = "2026-10-08" }
  price = [
    { amount = 569, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" },
    { amount = 559, currency = "EUR", kind = "street", place = "two shops on the quay", tax = true, on = "2026-10-20" },
  ]
  memory     = { rate_gtps = 20, bus_bits = 256 }
  body       = { length_mm = 241, slots = 2, mass_g = 960 }
  connectors = { power_8_pin = 2, display = 4 }
  mode "stock" {
    limit = { power_w = 260 }
  }
  mode "quiet" {
    firmware = "quiet"
    limit    = { power_w = 260 }
  }
}

card "skua" {
  name   = "Skua 12 GB"
  vendor = "saltern"
  driver = "26.3.1"
  sample = { origin = "bought", here_from = "2026-10-09" }
  price = [
    { amount = 499, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" },
    { amount = 489.50, currency = "EUR", kind = "street", place = "two shops on the quay", tax = true, on = "2026-10-20" },
  ]
  memory     = { rate_gtps = 18, bus_bits = 192 }
  body       = { length_mm = 280, slots = 2.5, mass_g = 1210 }
  parts_g    = { heatsink = 560, fans = 95, backplate = 214 }
  connectors = { power_8_pin = 1, display = 3 }
  mode "stock" {
    limit = { power_w = 200 }
  }
}
