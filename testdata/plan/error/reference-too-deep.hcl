matrix {
  resolutions = [resolution.qhd.size] # ERROR Reference goes too far
}
