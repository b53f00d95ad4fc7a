# The whole name is hidden wherever it stands; a part of it, as the claim has it, is not. That the embargo of the other card is over by then
# makes its name anybody's.
card "auk" { # WARNING Text may give a name away
  name     = "Great Auk 9070 card"
  vendor   = "alca"
  driver   = "1"
  codename = "osprey"
  known_as = ["Auk"]
  embargo  = "2027-03-04T14:00:00Z"
  private { note = "Great things of it" }
}
card "skua" {
  name     = "Skua Wide"
  vendor   = "dune"
  driver   = "1"
  codename = "merlin"
  embargo  = "2027-01-04T14:00:00Z"
}
matrix { cards = [card.auk, card.skua] }
claim "lead" {
  says    = "the 9070 beats the Great Auk 9070 card's forerunner, as the Auk should, and the Wide one"
  metric  = "mean_fps"
  of      = card.auk.stock
  against = card.tern_ref.stock
  expect  = { at_least = 2 }
}
