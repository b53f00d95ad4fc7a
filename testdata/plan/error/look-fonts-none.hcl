look {
  fonts = [] # ERROR List is empty
}
