matrix {
  cards = [card.tern_ref]
  waive { # WARNING Waive matches nothing
    cards  = [card.heron_x]
    reason = "x"
  }
}
