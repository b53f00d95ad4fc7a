claim "lead" {
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref
  where   = { groups = ["ray trcaed"] } # ERROR Unknown group
  expect  = { same = true }
}
