let {
  n = "3"
}
matrix {
  repeats = let.n # ERROR Not a number
}
