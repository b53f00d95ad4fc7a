matrix {
  cards = [card.tern_rfe, card.heron_x] # ERROR Unknown card
}
