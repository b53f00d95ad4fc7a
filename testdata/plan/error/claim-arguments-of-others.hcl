claim "c" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  soak    = soak.bench # ERROR Argument does not fit
  probe   = "core" # ERROR Argument does not fit
  group   = "rear" # ERROR Argument does not fit
  at      = "wall" # ERROR Argument does not fit
  channel = "fan" # ERROR Argument does not fit
  price   = { kind = "list" } # ERROR Argument does not fit
  expect  = { same = true }
}
