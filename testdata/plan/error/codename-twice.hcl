card "gannet" {
  vendor   = "gannet"
  driver   = "1"
  codename = "osprey"
  embargo  = "2027-03-04T14:00:00Z"
}
card "skua" {
  vendor   = "skua"
  driver   = "1"
  codename = "osprey" # ERROR Codename used twice
  embargo  = "2027-03-04T14:00:00Z"
}
matrix { cards = [card.gannet, card.skua] }
