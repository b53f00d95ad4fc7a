void "captures\maps.csv" { # ERROR Plan text cannot be read
  reason = "x"
}
