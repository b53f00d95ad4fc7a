# what is to be said of temperatures, noise, power, build and price
claim "cooler" {
  says    = "the power stages stay at least ten kelvins cooler"
  metric  = "rise_k"
  soak    = soak.half_hour
  group   = "stages"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = -10, unit = "K" }
}

claim "quieter" {
  says    = "four decibels quieter at half a metre"
  metric  = "sound_level_db"
  soak    = soak.half_hour
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = -4, unit = "dB" }
}

claim "same_limit" {
  says    = "the quiet firmware draws what the other one draws"
  metric  = "mean_power_w"
  soak    = soak.half_hour
  of      = card.gannet.quiet
  against = card.gannet.stock
  expect  = { same = true }
}

claim "frugal" {
  says    = "a frame costs at least three percent less energy"
  metric  = "energy_per_frame_j"
  soak    = soak.eight_minutes
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = -3 }
}

claim "desk_power" {
  says    = "with two displays it draws at most five percent more at the wall"
  metric  = "mean_power_w"
  soak    = soak.desk
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = 5 }
}

claim "longer" {
  says    = "more than five centimetres longer"
  fact    = "length_mm"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_least = 50, unit = "mm" }
}

claim "worth" {
  says    = "costs at most four percent more per frame at 2160p, street prices"
  metric  = "price_per_fps"
  price   = { kind = "street" }
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { games = [game.fjord.plain, game.kelp, game.quarry], resolutions = [resolution.uhd] }
  expect  = { at_most = 4 }
}
