card "gannet" {
  vendor = "tern"
  mode "OC" {} # ERROR Label has a wrong form
}
