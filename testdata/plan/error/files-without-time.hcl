files "log" { # ERROR Something is missing
  path = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
}
