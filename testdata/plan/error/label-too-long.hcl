card "a23456789012345678901234567890123456789x1" { # ERROR Label is too long
  vendor = "tern"
}
