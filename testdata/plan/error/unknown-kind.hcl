matrix {
  cards = [crad.tern_ref] # ERROR Unknown kind of reference
}
