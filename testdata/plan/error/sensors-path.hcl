files "log" {
  path       = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
  frame_time = { column = "t", unit = "ms" }
  sensors {
    path     = "b/{card}-{mode}/{game}_{variant}_{resolution}_{any}.csv" # ERROR Path cannot tell passes apart
    time     = { column = "t", unit = "s" }
    channels = { a = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "b/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv" # ERROR Same path twice
    time     = { column = "t", unit = "s" }
    channels = { b = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv" # ERROR Same path twice
    time     = { column = "t", unit = "s" }
    channels = { c = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "c/{card}-{mode}/{game}_{variant}_{repeat}.csv" # ERROR Path cannot tell cells apart
    time     = { column = "t", unit = "s" }
    channels = { d = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "d/{soak}-{card}.csv" # ERROR Unknown placeholder
    time     = { column = "t", unit = "s" }
    channels = { e = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "../e.csv" # ERROR Path is refused
    time     = { column = "t", unit = "s" }
    channels = { f = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "f/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
    time     = { column = "t", unit = "s" }
    channels = { g = { column = "a", unit = "C" } }
  }
  sensors {
    path     = "f/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv" # ERROR Same path twice
    time     = { column = "t", unit = "s" }
    channels = { h = { column = "a", unit = "C" } }
  }
}
