reuse "nothing" { # ERROR Something is missing # ERROR Something is missing # ERROR Something is missing
}
