matrix {
  repeats = length(range(100000)) # ERROR Value cannot be worked out
}
