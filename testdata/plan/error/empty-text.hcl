void "a.csv" { reason = " " } # ERROR Text is empty
