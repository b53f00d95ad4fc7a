look {
  accent = 7 # ERROR Not text
}
