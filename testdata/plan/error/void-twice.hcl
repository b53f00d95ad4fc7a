void "a.csv" { reason = "x" }
void "a.csv" { reason = "y" } # ERROR Name used twice
