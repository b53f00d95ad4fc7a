game "kelp" {
  drive = "replay"
  keep  = "all"
  sceen = "tide" # ERROR Unknown name
}
