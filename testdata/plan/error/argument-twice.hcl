card "gannet" {
  vendor = "tern"
  vendor = "heron" # ERROR Written twice
}
