game "kelp" {
  drive = "replay"
  keep  = { length = 60 } # ERROR Not a duration
}
