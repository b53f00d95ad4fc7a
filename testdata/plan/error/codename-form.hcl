card "gannet" {
  vendor   = "gannet"
  driver   = "1"
  codename = "Osprey Nine" # ERROR Label has a wrong form
  embargo  = "2027-03-04T14:00:00Z"
}
matrix { cards = [card.gannet] }
