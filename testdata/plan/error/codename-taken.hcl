card "gannet" {
  vendor   = "gannet"
  driver   = "1"
  codename = "heron_x" # ERROR Codename is taken
  embargo  = "2027-03-04T14:00:00Z"
}
matrix { cards = [card.gannet] }
