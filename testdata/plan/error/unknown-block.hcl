crad "gannet" { # ERROR Unknown block
  vendor = "tern"
}
