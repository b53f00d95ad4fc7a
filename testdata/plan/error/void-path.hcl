void "../a.csv" { reason = "x" } # ERROR Path is refused
void "captures/*.csv" { reason = "x" } # ERROR Void names no file
void "captures/" { reason = "x" } # ERROR Void names no file
