files "log" {
  path      = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  timestamp = { column = 0, unit = "minutes" } # ERROR Number out of range # ERROR Unknown choice
}
