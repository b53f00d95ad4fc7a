let {
  n = 3 + "x" # ERROR Value cannot be worked out
}
matrix {
  repeats = let.n
}
