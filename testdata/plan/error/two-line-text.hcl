void "a.csv" { reason = "one\ntwo" } # ERROR Text holds control characters
