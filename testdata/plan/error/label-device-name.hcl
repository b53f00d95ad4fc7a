card "nul" { # ERROR Label is reserved
  vendor = "tern"
}
