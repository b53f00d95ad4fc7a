let {
  passes = 3
}
matrix {
  repeats = let.pases # ERROR Unknown let
}
matrix {
  repeats = let.passes
}
