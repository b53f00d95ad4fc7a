game "kelp" {
  drive  = "replay"
  keep   = "all"
  capped = "yes" # ERROR Not true or false
}
