card "gannet" {
  vendor  = "gannet"
  driver  = "1"
  private = { serial = "0417-A" } # ERROR Unknown name
}
rig "bench_b" { # WARNING Rig is not used
  private {
    seats = ["a", "b"] # ERROR Not a single value
  }
  private { # ERROR Block may stand only once
    desk = "by the window"
  }
}
private {} # ERROR Unknown block
matrix { cards = [card.gannet] }
