matrix {
  cards = ["tern_ref"] # ERROR Not a reference
}
