claim "c" {
  metric  = "peak_c"
  soak    = soak.bench
  probe   = "core"
  where   = { games = [game.fjord] } # ERROR Argument does not fit
  of      = card.heron_x.stock
  expect  = { at_most = 90, unit = "°C" }
}
