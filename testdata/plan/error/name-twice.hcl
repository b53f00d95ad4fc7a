card "tern_ref" { # ERROR Name used twice
  vendor = "tern"
}
