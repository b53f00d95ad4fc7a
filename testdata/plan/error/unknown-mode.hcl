matrix {
  cards = [card.heron_x.tunde] # ERROR Unknown mode
}
