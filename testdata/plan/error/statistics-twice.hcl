statistics {
}
statistics { # ERROR Block may stand only once
}
