soak "a" {
  load   = "idle"
  length = "0s" # ERROR Duration is impossible
}
soak "b" {
  load   = "idle"
  length = "90s"
  settle = "2m" # ERROR Duration is impossible
}
soak "c" {
  load   = "idle"
  length = "10m"
  settle = "0s" # ERROR Duration is impossible
}
soak "d" {
  load    = "idle"
  length  = 30     # ERROR Not a duration
  cooling = "25h"  # ERROR Duration is impossible
}
