files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  extra = {
    power = { column = "a", unit = "W" } # ERROR Something is missing
    chip  = { column = "b", unit = "W", at = "chip" } # ERROR Unknown choice
    board = { column = "c", unit = "w", at = "reported board" } # ERROR Argument does not fit
    clock = { column = "d", unit = "MHz", at = "reported board" } # ERROR Argument does not fit
    spot  = { column = "e", unit = "F" } # ERROR Unit has a wrong form
    edge  = { column = "f", unit = "C", colour = "red" } # ERROR Unknown name
  }
}
