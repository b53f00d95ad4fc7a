card "price" { # ERROR Name cannot be withheld
  vendor   = "morus"
  driver   = "1"
  codename = "osprey"
  embargo  = "2027-03-04T14:00:00Z"
}
matrix { cards = [card.price] }
