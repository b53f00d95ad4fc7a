# Whether a session is out of limits by the control passed in it, against the other sessions of that control.

# Which sessions of one control are out. `passes` are the control's; what else is wrong with one, but for being suspect, leaves it out.
sessionsOut <- function(passes, u2, prior, expected, max_spread) {
  passes <- Filter(function(p) length(p$words) == 0, passes)
  # Every launch of the demo has one pass.
  y <- split(vapply(passes, function(p) log(p$figures$mean_fps), 0), vapply(passes, function(p) p$session, ""))
  stopifnot(length(y) >= 3)
  k <- lengths(y)
  means <- vapply(y, mean, 0)
  nu <- sum(k - 1)
  within <- sum(vapply(y, function(l) sum((l - mean(l))^2), 0))
  if (is.null(prior)) prior <- list(s0 = expected^2, nu0 = 3)
  launch <- if (nu > 0 && within / nu / prior$s0 > qf(0.95, nu, prior$nu0)) within / nu
            else if (is.infinite(prior$nu0)) prior$s0
            else (prior$nu0 * prior$s0 + within) / (prior$nu0 + nu)
  S <- length(y)
  out <- vapply(seq_len(S), function(i) {
    away <- means[i] - mean(means[-i])
    h <- mean(1 / k[-i])
    v <- (3 * (u2 + launch * h) + (S - 2) * var(means[-i])) / (3 + S - 2)
    se2 <- v * (1 + 1 / (S - 1)) + launch * max(0, 1 / k[i] - h)
    abs(away) > qt(1 - 0.05 / (2 * S), 3 + S - 2) * sqrt(se2) && abs(expm1(away)) > max_spread / 2
  }, NA)
  names(y)[out]
}
