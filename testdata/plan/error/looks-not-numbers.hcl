matrix {
  looks = [1, 3]     # ERROR Number out of range
}
matrix {
  looks = [3, "5"]   # ERROR Not a number
}
matrix {
  looks = [3, 4.5]   # ERROR Not a whole number
}
matrix {
  looks = [3, null]  # ERROR Null is no value
}
matrix {
  looks = [50, 500]  # ERROR Number out of range
}
matrix {
  looks = card.tern_ref # ERROR Not a number
}
