matrix {
  cards = [card.tern_ref, null] # ERROR Null is no value
}
