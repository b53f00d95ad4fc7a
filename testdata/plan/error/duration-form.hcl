game "kelp" {
  drive = "replay"
  keep  = { warmup = "10 s", length = "1min" } # ERROR Not a duration # ERROR Not a duration
}
