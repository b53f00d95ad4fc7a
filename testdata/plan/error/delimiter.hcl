files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  text       = { delimiter = "tab", comment = " #" } # ERROR Unknown choice # ERROR Not a comment sign
}
