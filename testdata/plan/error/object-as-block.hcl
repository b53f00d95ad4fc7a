rig "bench_b" { # WARNING Rig is not used
  fixed { # ERROR Unknown block
    cpu = "x"
  }
}
