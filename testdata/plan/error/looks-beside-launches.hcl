matrix {
  cards = [card.heron_x.stock]
  looks = [3, 5, 8]
}
matrix { # ERROR Looks beside launches
  cards    = [card.heron_x.stock]
  games    = [game.fjord]
  repeats  = 6
  launches = 2
}
