look {
  fonts = ["../fonts/plain.ttf"] # ERROR Path is refused
}
