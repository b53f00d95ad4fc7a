reading "r" {
  card = card.tern_ref
  soak = soak.bench
  probe = "board" # ERROR Probe is not on the card
  temperature_c = 71
}
