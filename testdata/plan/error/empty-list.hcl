matrix {
  cards = [] # ERROR List is empty
}
