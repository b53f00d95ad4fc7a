game "kelp" {
  drive = "replay"
  keep  = { length = "60s" }
  accept {
    min_length = "61s" # ERROR Duration is impossible
  }
}
