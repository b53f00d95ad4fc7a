files "log" {
  path      = "{card}/{game}_{size}_{time}.csv" # WARNING Path cannot tell cells apart # WARNING Path cannot tell cells apart
  timestamp = { column = "t", unit = "s" }
}
