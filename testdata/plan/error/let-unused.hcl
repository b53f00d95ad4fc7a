let {
  n = 3 # WARNING Named value is not used
}
