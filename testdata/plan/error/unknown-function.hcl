matrix {
  games = conct([game.fjord], [game.bazaar]) # ERROR Unknown function
}
