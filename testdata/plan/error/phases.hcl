card "skua" {
  vendor = "skua"
  phases = [
    { feeds = "core", count = 0 }, # ERROR Number out of range
    { count = 6 }, # ERROR Something is missing
    { feeds = "memory", count = 4, stages = 8 }, # ERROR Unknown name
  ]
}
