game "kelp" {
  drive  = "replay"
  keep   = "all"
  accept = { max_bad_lines = 3 } # ERROR Unknown name
}
