files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  extra      = { power = { column = "a", unit = "W", at = "wall" } }
  sensors { # ERROR Something is missing
    path = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.sensors.csv"
    time = { column = "t", unit = "s" }
  }
  sensors {
    path = "c/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
    time = { column = "t", layout = "YYYY-MM-DD hh:mm:ss" } # ERROR Something is missing
    channels = {
      power = { column = "b", unit = "W", at = "wall" } # ERROR Channel is logged twice
      board = { column = "c", unit = "W" } # ERROR Something is missing
      wire  = { column = "d", unit = "mV", cold_junction = "spot" } # ERROR Unit does not fit
      spot  = { column = "e", unit = "°C" } # ERROR Unknown choice
      noise = { column = "f", unit = "dB" } # ERROR Unit does not fit
      fan   = { column = "g", unit = "rpm", cold_junction = "spot" } # ERROR Argument does not fit
    }
  }
  sensors {
    path     = "d/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
    time     = { column = "t", unit = "s" }
    except   = { card = card.tern_ref, offset = "+1s" } # ERROR Unknown name
    channels = {} # ERROR Something is missing
  }
}
