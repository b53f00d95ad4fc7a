matrix {
  looks = [5] # ERROR One look is no choice
}
matrix {
  looks = 5 # ERROR One look is no choice
}
matrix {
  looks = [] # ERROR List is empty
}
