claim "frugal" {
  metric  = "energy_per_frame_j" # WARNING Figure is not measured
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_most = -5 }
}
claim "draws" {
  metric = "mean_power_w" # WARNING Figure is not measured
  of     = card.heron_x.stock
  expect = { at_most = 300, unit = "W" }
}
claim "clocked" {
  metric  = "clock_mean_mhz"
  of      = card.heron_x.stock
  against = card.tern_ref
  expect  = { at_least = 3 }
}
files "logged" {
  path       = "logged/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  extra      = { clock = { column = "mhz", unit = "MHz" } }
}
