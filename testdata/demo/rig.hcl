rig "bench_a" {
  fixed = {
    cpu                     = "sixteen cores, boost fixed at 5.0 GHz"
    memory                  = "2 x 16 GB, 6000 MT/s"
    os                      = "build 26100, image of 2026-09"
    resizable_memory_access = true
    power_plan              = "balanced"
    display_hz              = 144
    enclosure               = "open bench"
  }
  notes = { desk = "the one by the window", operator = "day shift" }
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }
