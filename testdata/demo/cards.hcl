card "tern_ref" {
  name   = "Tern 7 reference"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "bought", here_from = "2026-09-01" }
  price  = { amount = 589, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" }
  memory = { rate_gtps = 20, bus_bits = 256 }
  body   = { length_mm = 262, slots = 2, mass_g = 1180 }
  mode "stock" {}
}

card "heron_x" {
  name   = "Heron X partner card"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "lent by maker", here_from = "2026-10-05" }
  price  = { amount = 649, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" }
  memory = { rate_gtps = 21, bus_bits = 256 }
  body   = { length_mm = 318, slots = 3, mass_g = 1640 }
  mode "stock" {}
  mode "tuned" {
    raises = { core_mhz = 90, memory_mhz = 700, power_pct = 10 }
  }
}

card "gannet" {
  name   = "Gannet dual-fan"
  vendor = "marram"
  driver = "612.4"
  sample = { origin = "lent by a shop", here_from = "2026-10-08" }
  price  = { amount = 569, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" }
  memory = { rate_gtps = 20, bus_bits = 256 }
  body   = { length_mm = 241, slots = 2, mass_g = 960 }
  mode "stock" {}
  mode "quiet" {
    firmware = "quiet"
  }
}

card "skua" {
  name   = "Skua 12 GB"
  vendor = "saltern"
  driver = "26.3.1"
  sample = { origin = "bought", here_from = "2026-10-09" }
  price  = { amount = 499, currency = "EUR", kind = "list", tax = true, on = "2026-10-09" }
  memory = { rate_gtps = 18, bus_bits = 192 }
  body   = { length_mm = 280, slots = 2.5, mass_g = 1210 }
  mode "stock" {}
}
