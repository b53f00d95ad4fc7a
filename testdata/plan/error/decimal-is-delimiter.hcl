files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  text       = { decimal = "," } # ERROR Delimiter and decimal sign are the same
}
