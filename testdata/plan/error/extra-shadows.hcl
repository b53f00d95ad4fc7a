files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  extra = {
    kept  = { column = "a", unit = "w" } # ERROR Column name is taken
    run   = { column = "b", unit = "id" } # ERROR Column name is taken
    frame = { column = "c", unit = "us" } # ERROR Column name is taken
    a     = { column = "d", unit = "b_c" }
    a_b   = { column = "e", unit = "c" } # ERROR Column name is taken
    Power = { column = "f", unit = "w" } # ERROR Key has a wrong form
    temp  = { column = "g", unit = "°C" } # ERROR Unit has a wrong form
  }
}
