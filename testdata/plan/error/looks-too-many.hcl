matrix {
  looks = [2, 3, 4, 5, 6, 7, 8] # ERROR Too many looks
}
