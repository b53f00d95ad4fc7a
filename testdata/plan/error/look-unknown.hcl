look {
  color = "#1c7a4d" # ERROR Unknown name
}
