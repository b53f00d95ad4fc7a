card "gannet" {
  vendor   = "gannet"
  driver   = "1"
  codename = "osprey" # WARNING Codename is not used
  embargo  = "2027-03-04" # ERROR Embargo has no hour
}
matrix { cards = [card.gannet] }
