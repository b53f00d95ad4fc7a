card "gannet" { driver = "1" } # ERROR Something is missing
