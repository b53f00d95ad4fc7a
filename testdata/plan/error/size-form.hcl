resolution "fhd" { size = "1920 x 1080" } # ERROR Not a size
