soak "extra" { # ERROR Something is missing
  game   = game.fjord
  length = "30m"
}
