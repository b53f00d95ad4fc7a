resolution "wqhd" { size = "2560x1440" } # WARNING Same size twice
