claim "c" {
  fact    = "length_mm" # ERROR Fact is not stated
  of      = card.heron_x.stock
  expect  = { at_most = 300, unit = "mm" }
}
