look {
  fonts = ["fonts/plain.ttf", "fonts/bold.woff2"] # ERROR Path is refused
}
