matrix {
  cards = [game.fjord] # ERROR Wrong kind of reference
}
