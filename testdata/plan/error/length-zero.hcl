game "kelp" {
  drive = "replay"
  keep  = { length = "0s" } # ERROR Duration is impossible
}
