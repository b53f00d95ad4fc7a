resolution "4k" { # ERROR Label has a wrong form
  size = "4096x2160"
}
