# The passes of a cell laid beside each other at the same place of the scene; suspects over the whole review.

# Median of several series at each place.
medianOf <- function(series) apply(do.call(cbind, series), 1, median)

# One scene seen by two passes: their correlation, 1 for a scene too flat to correlate.
likeness <- function(a, b) {
  y <- log(a / b)
  if (sqrt(mean((y - mean(y))^2)) <= 0.02) 1 else cor(a, b)
}

# Whether the other passes show one scene.
alike <- function(profiles) {
  if (length(profiles) < 2) return(TRUE)
  pairs <- combn(length(profiles), 2)
  median(apply(pairs, 2, function(p) likeness(profiles[[p[1]]], profiles[[p[2]]]))) >= 0.5
}

# Theil-Sen's slope over the ten blocks in percent, and the p of Mann and Kendall: Kendall's test against time.
driftOf <- function(y) {
  pairs <- combn(length(y), 2)
  slope <- median((y[pairs[2, ]] - y[pairs[1, ]]) / (pairs[2, ] - pairs[1, ]))
  p <- cor.test(seq_along(y), y, method = "kendall", exact = FALSE, continuity = TRUE)$p.value
  list(pct = 100 * expm1(length(y) * slope), p = p)
}

# Stretches of seconds slower than the siblings and than all passes; the longest one, in seconds of the capture.
disturbedOf <- function(seconds, k, from) {
  steady <- function(others) {
    ratio <- seconds[[k]] / medianOf(others)
    ratio / median(ratio)
  }
  worst <- pmax(steady(seconds[-k]), if (length(seconds) > 2) steady(seconds) else -Inf)
  slow <- rle(worst < 0.95)
  last <- cumsum(slow$lengths)
  first <- last - slow$lengths + 1
  deep <- mapply(function(a, b) any(worst[a:b] < 0.8), first, last)
  found <- which(slow$values & (slow$lengths >= 2 | deep))
  if (length(found) == 0) return(NULL)
  at <- found[which.max(slow$lengths[found])]
  from / 1e9 + c(first[at] - 1, last[at])
}

# The drift of pass k beside some of the others, and whether it is one.
driftBeside <- function(profiles, k, others) {
  drift <- driftOf(log(profiles[[k]] / medianOf(profiles[others])))
  c(drift, list(is = abs(drift$pct) > 2 && drift$p < 0.05))
}

# A drift that is gone without the passes that drift more the other way is theirs.
standing <- function(profiles, drifts) {
  is <- vapply(drifts, function(d) d$is, NA)
  pct <- vapply(drifts, function(d) d$pct, 0)
  vapply(seq_along(drifts), function(k) {
    against <- is & sign(pct) != sign(pct[k]) & abs(pct) > abs(pct[k])
    rest <- setdiff(which(!against), k)
    if (!is[k] || length(rest) == 0) return(is[k])
    again <- driftBeside(profiles, k, rest)
    again$is && sign(again$pct) == sign(pct[k])
  }, NA)
}

# Drift and disturbance of every pass of one cell.
besideSiblings <- function(passes) {
  profiles <- lapply(passes, `[[`, "profile")
  shared <- min(vapply(passes, function(p) length(p$seconds), 0L))
  seconds <- lapply(passes, function(p) p$seconds[1:shared])
  times <- vapply(passes, function(p) sum(p$x), 0)
  stopifnot(length(passes) > 1, max(times) - min(times) <= 0.01 * max(times), shared >= 20)
  checked <- vapply(seq_along(passes), function(k) alike(profiles[-k]), NA)
  drifts <- lapply(seq_along(passes), function(k) {
    if (checked[k]) driftBeside(profiles, k, -k) else list(pct = NA_real_, p = NA_real_, is = FALSE)
  })
  stands <- standing(profiles, drifts)
  for (k in seq_along(passes)) {
    span <- if (checked[k]) disturbedOf(seconds, k, passes[[k]]$from)
    if (is.null(span)) span <- c(NA, NA)
    passes[[k]]$beside <- list(drift_pct = drifts[[k]]$pct, disturbed_from_s = span[1], disturbed_to_s = span[2])
    passes[[k]]$words <- c(if (stands[k]) "drift", if (!is.na(span[1])) "disturbed")
  }
  passes
}

# Which passes of the cells (lists of mean frame rates) stand apart: by the spread pooled over the review, or by Grubbs from six.
suspectsOf <- function(cells, max_spread) {
  logs <- lapply(cells, log)
  n <- lengths(logs)
  stopifnot(n >= 2)
  pooled <- sqrt(sum(vapply(logs, function(y) sum((y - mean(y))^2), 0)) / sum(n - 1))
  limit <- pooled * qt(1 - 0.05 / (2 * sum(n)), sum(n - 1))
  lapply(seq_along(cells), function(i) {
    y <- logs[[i]]
    away <- abs(y - mean(y))
    apart <- away > limit * sqrt((n[i] - 1) / n[i])
    if (n[i] >= 6) {
      t2 <- qt(1 - 0.05 / (2 * n[i]), n[i] - 2)^2
      critical <- (n[i] - 1) / sqrt(n[i]) * sqrt(t2 / (n[i] - 2 + t2))
      apart <- apart | (away == max(away) & away / sd(y) > critical)
    }
    apart & abs(cells[[i]] / median(cells[[i]]) - 1) > max_spread / 2
  })
}
