matrix "all" { # ERROR Label is too much
}
