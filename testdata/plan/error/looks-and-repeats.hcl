matrix {
  repeats = 3
  looks   = [3, 5, 8] # ERROR Looks beside repeats
}
