soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  probe "core" { # ERROR Probe is two things
    on_die       = "edge"
    thermocouple = { type = "K", place = "backplate" }
  }
}
