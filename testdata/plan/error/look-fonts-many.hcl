look {
  fonts = ["light.ttf", "plain.ttf", "bold.ttf"] # ERROR Too many fonts
}
