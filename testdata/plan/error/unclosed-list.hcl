matrix {
  cards = [card.tern_ref
} # ERROR Plan text cannot be read
