reuse "of_itself" {
  review  = "spring" # ERROR Review reuses its own passes
  cards   = [card.tern_ref]
  max_age = "180d"
}
reuse "forms" {
  review  = "Last Spring" # ERROR Not the name of a review
  edition = "newest"      # ERROR Not an edition
  cards   = [card.heron_x.stock]
  max_age = "six months" # ERROR Not an age
  despite = ["build"]    # ERROR Unknown choice
}
reuse "twice" {
  review  = "autumn"
  cards   = [card.heron_x] # ERROR Reused from two places
  max_age = "0d"           # ERROR Not an age
}
