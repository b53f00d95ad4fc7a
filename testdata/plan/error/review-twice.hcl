review "autumn" { # ERROR Block may stand only once
  baseline = card.tern_ref
}
