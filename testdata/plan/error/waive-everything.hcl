matrix {
  waive { # ERROR Everything is waived
    reason = "x"
  }
}
