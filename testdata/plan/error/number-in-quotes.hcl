matrix {
  repeats = "3" # ERROR Not a number
}
