look {
  size = "300%" # ERROR Number out of range
}
