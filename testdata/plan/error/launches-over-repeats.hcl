matrix {
  repeats  = 2
  launches = 3 # ERROR More launches than passes
}
