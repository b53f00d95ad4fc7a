card "gannet" {
  vendor = null # ERROR Null is no value
}
