vouch {
  cell   = [card.tern_ref, game.fjord, resolution.qhd]
  reason = "seen"
}
vouch {
  cell   = [resolution.qhd, card.tern_ref.stock, game.fjord.plain] # ERROR Vouched for twice
  reason = "seen"
}
