matrix {
  cards = [card[0]] # ERROR Reference has a wrong form
}
