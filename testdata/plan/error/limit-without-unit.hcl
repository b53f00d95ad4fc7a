card "skua" {
  vendor = "skua"
  mode "stock" {
    limit = { power = 300 } # ERROR Unit is missing
  }
}
