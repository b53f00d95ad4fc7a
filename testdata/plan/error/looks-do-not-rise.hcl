matrix {
  looks = [3, 5, 5] # ERROR Looks do not rise
}
matrix {
  looks = [8, 5, 3] # ERROR Looks do not rise
}
