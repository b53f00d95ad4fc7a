vouch {
  cell   = [card.tern_ref, game.fjord, resolution.fhd] # ERROR Unknown resolution
  reason = "seen"
}
