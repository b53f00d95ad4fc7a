let {
  t = { a = "1m" }
}
game "kelp" {
  drive = "replay"
  keep  = { length = let.t.b } # ERROR Value cannot be worked out
}
