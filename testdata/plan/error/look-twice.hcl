look { footer = "The Quay" }
look { accent = "#1c7a4d" } # ERROR Block may stand only once
