card { # ERROR Label is missing
  vendor = "tern"
}
