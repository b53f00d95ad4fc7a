card "skua" {
  vendor = "skua"
  body = { length = 262 } # WARNING Unit is missing
}
