card "skua" {
  vendor = "skua"
  body    = { mass_g = 1000 }
  parts_g = { heatsink = 900, fans = 150 } # WARNING Parts weigh more than the card
}
