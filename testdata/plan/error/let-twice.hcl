let {
  n = 3
}
let {
  n = 4 # ERROR Name used twice
}
matrix {
  repeats = let.n
}
