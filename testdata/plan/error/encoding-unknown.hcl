files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  text       = { encoding = "utf8-bom" } # ERROR Unknown choice
}
