card "gannet" "two" { # ERROR Label is too much
  vendor = "tern"
}
