soak "a" {
  load          = "idle"
  length        = "10m"
  repeatability = {} # ERROR Something is missing
}
soak "b" {
  load          = "idle"
  length        = "10m"
  repeatability = { power = 1 } # ERROR Not a percent
}
soak "c" {
  load          = "idle"
  length        = "10m"
  repeatability = { fan = "0%" } # ERROR Number out of range
}
soak "d" {
  load          = "idle"
  length        = "10m"
  repeatability = { temperature_c = 1 } # ERROR Unknown name
}
