matrix {
  repeats = 2.5 # ERROR Not a whole number
}
