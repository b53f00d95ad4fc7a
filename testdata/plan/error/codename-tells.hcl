card "gannet" {
  vendor   = "morus"
  driver   = "1"
  codename = "young-gannet" # ERROR Codename gives the name away
  embargo  = "2027-03-04T14:00:00Z"
}
card "skua" {
  vendor   = "stercorarius"
  driver   = "1"
  name     = "Great Skua 9070"
  codename = "card_9070" # ERROR Codename gives the name away
  embargo  = "2027-03-04T14:00:00Z"
}
card "kite" {
  vendor   = "milvus"
  driver   = "1"
  known_as = ["Red Kite Plus"]
  codename = "plus" # ERROR Codename gives the name away
  embargo  = "2027-03-04T14:00:00Z"
}
card "auk" {
  vendor   = "alca"
  driver   = "1"
  codename = "alcazar" # ERROR Codename gives the name away
  embargo  = "2027-03-04T14:00:00Z"
}
matrix { cards = [card.gannet, card.skua, card.kite, card.auk] }
