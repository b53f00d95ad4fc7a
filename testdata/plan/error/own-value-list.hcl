rig "bench_b" { # WARNING Rig is not used
  fixed = { cpu = ["a"] } # ERROR Not a single value
}
