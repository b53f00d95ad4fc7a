card "gannet" {
  vendr  = "tern" # ERROR Unknown name
  vendor = 7 # ERROR Not text
  price  = { amount = "1", curency = "EUR", currency = "EUR", kind = "list", tax = "yes" } # ERROR Not a number # ERROR Unknown name # ERROR Not true or false
}
matrix {
  cards  = [card.gannett, card.heron_x.tunde, "gannet", game.fjord] # ERROR Unknown card # ERROR Unknown mode # ERROR Not a reference # ERROR Wrong kind of reference
  repats = 3 # ERROR Unknown name
}
