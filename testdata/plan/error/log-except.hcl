soak "extra" {
  game       = game.fjord
  resolution = resolution.qhd
  cards      = [card.tern_ref]
  length     = "30m"
  log {
    path = "{card}.csv"
    time = { column = "t", unit = "s" }
    except = [
      { card = card.heron_x.stock, offset = "+1s" }, # ERROR Card is not in the soak
      { card = card.tern_ref, repeat = 2, offset = "+1s" }, # ERROR Number out of range
      { card = card.tern_ref }, # ERROR Something is missing # ERROR Exception stands twice
      { path = "y.csv" }, # ERROR Something is missing
    ]
    channels = { fan = { column = "a", unit = "rpm" } }
  }
}
