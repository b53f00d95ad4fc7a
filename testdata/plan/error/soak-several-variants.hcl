soak "extra" {
  game       = game.bazaar # ERROR Several where one is meant
  resolution = resolution.uhd
  length     = "30m"
}
