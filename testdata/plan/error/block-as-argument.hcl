accept = { min_length = "50s" } # ERROR Argument outside a block
