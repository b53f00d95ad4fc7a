matrix {
  cards = [card["gannet"].stock] # ERROR Unknown card
}
