let {
  a = let.b
  b = let.a # ERROR Value is made of itself
}
matrix {
  repeats = let.a
}
