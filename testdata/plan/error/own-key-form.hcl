card "gannet" {
  vendor = "tern"
  body   = { "Length mm" = 262 } # ERROR Key has a wrong form
}
