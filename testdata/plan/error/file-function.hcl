let {
  text = file("secret.txt") # ERROR Unknown function
}
card "gannet" {
  vendor = let.text
}
