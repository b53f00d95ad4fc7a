card "gannet" {
  vendor = "tern"
  mode "stock" {}
  mode "stock" {} # ERROR Name used twice
}
