game "kelp" {
  drive = "replay"
  keep  = { length = "25h" } # ERROR Duration is impossible
}
