files "log" {
  path      = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv" # ERROR Same path twice
  timestamp = { column = "t", unit = "s" }
}
