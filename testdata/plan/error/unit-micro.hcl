files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "µs" } # ERROR Unknown choice
}
