statistics {
  margin = 1 # ERROR Not a percent
  session_spread = "0,2%" # ERROR Not a percent
}
