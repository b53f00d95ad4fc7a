# Power and repeats for a grid of cases, by power.t.test where R has the test and by an integral over the spread where it has not.
# One line a case, tab-separated:
#
#   differ  NOISE CLAIM U LOOKS   k      least launches a side that show CLAIM percent; NA above 1000
#   level   NOISE MARGIN U LOOKS  k      least launches a side that show equal cells to be within MARGIN percent
#   resolve NOISE K U LOOKS       size   percent that K launches a side show
#   power   RATIO NU              differ and level power at a difference, or a margin, of RATIO standard errors
#
# Each of LOOKS declared looks may err 0.05/LOOKS.
# NOISE and U are the spreads of launches and of sessions in percent. U is nothing that power.t.test knows; since it adds 2u² to
# the squared standard error 2c²/k, it is a standard deviation of sqrt(c² + k·u²) at k.
onScale <- function(percent) log1p(percent / 100)
most <- 1000
put <- function(...) writeLines(paste(..., sep = "\t"))
digits <- function(x) sprintf("%.17g", x)
deviation <- function(k, noise, u) sqrt(onScale(noise)^2 + k * onScale(u)^2)

differ <- function(k, noise, size, u, looks) {
  power.t.test(n = k, delta = onScale(size), sd = deviation(k, noise, u), sig.level = 0.05 / looks, type = "two.sample",
               alternative = "two.sided", strict = FALSE)$power
}

# Two one-sided tests of equal sides: given the spread, the mean must fall between the two limits.
levelPower <- function(ratio, nu, looks) {
  t <- qt(1 - 0.05 / looks, nu)
  inside <- function(w) dchisq(w, nu) * (2 * pnorm(ratio - t * sqrt(w / nu)) - 1)
  top <- nu * (ratio / t)^2
  wide <- qchisq(1e-18, nu, lower.tail = FALSE)
  integrate(inside, 0, min(top, wide), rel.tol = 1e-12, abs.tol = 0, subdivisions = 1000)$value
}
level <- function(k, noise, margin, u, looks) levelPower(onScale(margin) / (deviation(k, noise, u) * sqrt(2 / k)), 2 * k - 2, looks)

# Power rises with k where it matters, so the least k is found by halving.
least <- function(power) {
  if (power(most) < 0.8) return(NA)
  low <- 2
  high <- most
  while (low < high) {
    k <- (low + high) %/% 2
    if (power(k) >= 0.8) high <- k else low <- k + 1
  }
  low
}

for (noise in c(0.1, 0.3, 0.5, 1, 2, 5)) for (u in c(0, 0.1, 0.3)) for (looks in c(1, 3)) {
  for (size in c(0.5, 1, 2, 3, 5, 8, 12)) put("differ", noise, size, u, looks, least(function(k) differ(k, noise, size, u, looks)))
  for (size in c(0.5, 1, 2, 3)) put("level", noise, size, u, looks, least(function(k) level(k, noise, size, u, looks)))
  for (k in c(2:8, 12, 20, 50)) {
    found <- power.t.test(n = k, power = 0.8, sd = deviation(k, noise, u), sig.level = 0.05 / looks, strict = FALSE, tol = 1e-13)$delta
    put("resolve", noise, k, u, looks, digits(100 * expm1(found)))
  }
}
for (k in c(2:6, 10, 30, 100, 1000)) for (ratio in c(0.5, 1, 2, 2.5, 3, 3.5, 4, 5, 7)) {
  power <- power.t.test(n = k, delta = ratio * sqrt(2 / k), sd = 1, sig.level = 0.05, strict = FALSE)$power
  put("power", digits(ratio), 2 * k - 2, digits(power), digits(levelPower(ratio, 2 * k - 2, 1)))
}
