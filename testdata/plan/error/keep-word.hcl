game "kelp" {
  drive = "replay"
  keep  = "everything" # ERROR Not a part of a capture
}
