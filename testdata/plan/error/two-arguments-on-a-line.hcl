resolution "fhd" { size = "1920x1080", note = "x" } # ERROR Plan text cannot be read
