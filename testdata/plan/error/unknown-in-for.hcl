matrix {
  cards = [for m in ["a"] : card.tern_re.stock] # ERROR Unknown card
}
