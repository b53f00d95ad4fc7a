let {
  kept   = { warmup = "3s", length = "30s" }
  raster = { preset = "highest", upscaler = "off", generated_frames = 0 }
}

game "fjord" {
  name  = "Fjord"
  build = "1.8.2"
  scene = "harbour flyover"
  drive = "built-in"
  keep  = let.kept
  variant "plain" {
    group    = "rasterised"
    settings = let.raster
  }
  variant "rays_up" {
    group    = "ray traced"
    settings = merge(let.raster, { ray_tracing = "high", upscaler = "quality" })
  }
}

game "bazaar" {
  name  = "Bazaar"
  build = "3.0.11"
  scene = "market day, forty stalls"
  drive = "replay"
  keep  = let.kept
  variant "plain" {
    group    = "rasterised"
    settings = let.raster
  }
}

game "kelp" {
  name  = "Kelp"
  build = "0.9.40"
  scene = "reef, west to east"
  drive = "by hand"
  keep  = let.kept
  takes = { startup = "3m", reset = "1m" }
  variant "plain" {
    group    = "rasterised"
    settings = let.raster
  }
}

game "quarry" {
  name  = "Quarry"
  build = "2.1"
  scene = "descent by the haul road"
  drive = "replay"
  keep  = let.kept
  variant "plain" {
    group    = "rasterised"
    settings = let.raster
  }
}

game "orrery" {
  name   = "Orrery"
  build  = "5.5.0"
  scene  = "inner planets"
  drive  = "built-in"
  keep   = let.kept
  capped = true # the game never draws more than 60 frames a second
  variant "plain" {
    group    = "rasterised"
    settings = let.raster
  }
}
