look {
  footer = "The Quay, where boats and boards are laid side by side until they sink" # ERROR Text is too long
}
