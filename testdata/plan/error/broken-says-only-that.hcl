card "gannet" {
  vendr = tern
  price = [1,
} # ERROR Plan text cannot be read
