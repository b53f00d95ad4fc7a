game "kelp" {
  drive = "builtin" # ERROR Unknown choice
  keep  = "all"
}
