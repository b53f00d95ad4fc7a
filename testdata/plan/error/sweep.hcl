sweep "a" {
  soak      = soak.bench
  steps_pct = [30, 30] # ERROR Steps do not rise
  hold      = "0s"     # ERROR Duration is impossible
}
sweep "b" { # ERROR Something is missing
  soak      = soak.bench
  cards     = [card.heron_x.tuned] # ERROR Card is not in the soak
  steps_pct = [30, 130] # ERROR Number out of range
}
