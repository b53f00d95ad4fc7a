matrix {
  cards = [card.heron_x.stock]
  looks = [3, 5, 8]
}
matrix { # ERROR Two lists of looks for a cell
  cards = [card.heron_x]
  looks = [3, 6]
}
