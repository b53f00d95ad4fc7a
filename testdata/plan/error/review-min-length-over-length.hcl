accept {
  min_length = "55s"
}
game "kelp" {
  drive = "replay"
  keep  = { length = "30s" } # ERROR Duration is impossible
}
