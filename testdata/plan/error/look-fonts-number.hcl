look {
  fonts = [1] # ERROR Not text
}
