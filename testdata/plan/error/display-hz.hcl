rig "bench_b" { # WARNING Rig is not used
  fixed = { display_hz = "144" } # ERROR Number out of range
}
