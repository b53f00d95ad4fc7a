card "Gannet" { # ERROR Label has a wrong form
  vendor = "tern"
}
