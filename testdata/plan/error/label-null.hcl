game "null" { # ERROR Label is reserved
  drive = "replay"
  keep  = "all"
}
