look {
  accent = "teal" # ERROR Not a colour
}
