card "gannet" {
  vendor  = "gannet"
  driver  = "1"
  embargo = "2027-03-04T14:00:00Z" # ERROR Codename is missing
}
matrix {
  cards = [card.gannet]
}
