game "kelp" {
  drive = "replay"
  keep  = { length = "-60s" } # ERROR Not a duration
}
