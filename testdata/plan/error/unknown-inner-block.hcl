card "gannet" {
  vendor = "tern"
  modus "stock" {} # ERROR Unknown block
}
