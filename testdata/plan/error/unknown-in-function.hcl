matrix {
  games = concat([game.fjord], [game.bazar]) # ERROR Unknown game
}
