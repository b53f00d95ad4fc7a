# All passes of the real captures, which are not part of this repository: run it with --captures FOLDER.
# ../real holds a small part of them and says where they come from.

review "real_all" {
  title    = "Two accelerators of successive models"
  baseline = card.kestrel.stock
}

card "kestrel" {
  name   = "kestrel"
  vendor = "undisclosed"
}

card "osprey" {
  name   = "osprey"
  vendor = "undisclosed"
}

let {
  kept = { warmup = "2s", length = "12s" }
}

game "fjord" {
  name  = "fjord"
  scene = "ray-marched terrain in one fragment shader"
  drive = "built-in"
  keep  = let.kept
}

game "bazaar" {
  name  = "bazaar"
  scene = "thousands of small draw calls a frame"
  drive = "built-in"
  keep  = let.kept
}

game "reactor" {
  name  = "reactor"
  scene = "six full-screen passes, a texture upload every two to four seconds"
  drive = "built-in"
  keep  = let.kept
}

resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }

matrix {
  games = [game.fjord, game.reactor]
}

matrix {
  games       = [game.bazaar]
  resolutions = [resolution.uhd]
}

files "frames" {
  path        = "{card}.{game}.{size}.r{repeat}.frames.csv"
  text        = { delimiter = ",", decimal = "." }
  frame_time  = { column = "frame_ms", unit = "ms" }
  timestamp   = { column = "elapsed_s", unit = "s" } # the end of each frame: they only check
  measured_at = "present"
  extra = {
    submit = { column = "submit_ms", unit = "ms" }
    wait   = { column = "wait_ms", unit = "ms" }
  }

  sensors { # of the same clock, ten rows a second
    path = "{card}.{game}.{size}.r{repeat}.sensors.csv"
    text = { delimiter = ",", decimal = "." }
    time = { column = "elapsed_s", unit = "s" }
    channels = {
      core_temp    = { column = "core_temp_c", unit = "C" }
      memory_temp  = { column = "mem_temp_c", unit = "C" }
      power        = { column = "board_power_w", unit = "W", at = "reported board" }
      core_clock   = { column = "core_clock_mhz", unit = "MHz" }
      memory_clock = { column = "mem_clock_mhz", unit = "MHz" }
      load         = { column = "load_pct", unit = "pct" }
    }
  }
}
