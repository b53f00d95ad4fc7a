let {
  card "x" {} # ERROR Unknown block
}
