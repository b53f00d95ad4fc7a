matrix {
  games = [game.bazaar.rays] # ERROR Unknown variant
}
