card "gannet" { # ERROR Plan text cannot be read
  vendor = "tern"
