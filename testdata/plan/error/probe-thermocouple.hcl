soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "a" { thermocouple = { type = "J", place = "backplate" } } # ERROR Unknown choice
  probe "b" { thermocouple = { type = "K", place = "backplate", class = 4 } } # ERROR Number out of range
  probe "c" { thermocouple = { type = "K" } } # ERROR Something is missing
  probe "d" { thermocouple = { type = "K", place = "backplate", group = "Rear" } } # ERROR Label has a wrong form
}
