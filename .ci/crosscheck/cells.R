# Cells and comparisons: launches, borrowed spread, sessions, Welch's interval, two one-sided tests, repeats.

metrics <- local({
  ratio <- c("mean_fps", "frame_ms_mean", "frame_ms_sd", "frame_ms_p50", "frame_ms_p95", "frame_ms_p99", "frame_ms_p999", "frame_ms_max",
             "low1_quantile_fps", "low1_tail_mean_fps", "low1_time_share_fps",
             "low01_quantile_fps", "low01_tail_mean_fps", "low01_time_share_fps", "rmssd_ms")
  share <- c("over_60hz_share", "over_120hz_share", "over_display_share", "hitch_time_share")
  c(setNames(rep("ratio", length(ratio)), ratio), setNames(rep("difference", length(share)), share), hitch_events = "count")
})
higherBetter <- function(metric) grepl("_fps$", metric)
scaled <- function(metric, y) if (metrics[[metric]] == "ratio") log(y) else y
inUnit <- function(metric, y) if (metrics[[metric]] == "ratio") exp(y) else y
shown <- function(metric, d) if (metrics[[metric]] == "ratio") 100 * expm1(d) else d
margin <- function(metric) if (metrics[[metric]] == "ratio") log(1.01) else 0.01

# What the launches of a cell say of one metric. Every launch of the demo has one pass, so passes are launches.
cellOf <- function(metric, passes) {
  stopifnot(!anyDuplicated(vapply(passes, function(p) p$launch, "")))
  y <- vapply(passes, function(p) p$figures[[metric]], 0)
  sessions <- vapply(passes, function(p) p$session, "")
  cell <- list(metric = metric, n = length(y), sessions = sessions, y = y, k = length(y), nu = length(y) - 1,
               thin = metric %in% names(passes[[1]]$thin) && any(vapply(passes, function(p) p$thin[[metric]], NA)))
  if (metrics[[metric]] == "count") {
    cell$minutes <- sum(vapply(passes, function(p) p$figures$duration_s, 0)) / 60
    return(cell)
  }
  cell$s <- scaled(metric, y)
  cell$own <- var(cell$s)
  if (diff(range(cell$s)) <= 1e-12 * max(1, abs(cell$s))) cell$own <- 0 # what rounding leaves of none
  cell$use <- cell$own
  cell$expected <- cell$own
  cell$df <- cell$nu
  cell$method <- "own spread"
  cell$prior <- 0
  cell
}

# What the cells of one metric say of the spread of any: s0^2 on nu0 degrees of freedom (Smyth 2004), NULL for fewer than ten.
priorOf <- function(cells) {
  with_spread <- Filter(function(c) c$nu > 0 && c$own > 0, cells)
  if (length(with_spread) < 10) return(NULL)
  nu <- vapply(with_spread, function(c) c$nu, 0)
  e <- log(vapply(with_spread, function(c) c$own, 0)) - digamma(nu / 2) + log(nu / 2)
  excess <- var(e) - mean(trigamma(nu / 2))
  nu0 <- Inf
  s0 <- exp(mean(e))
  if (excess > 0) {
    half <- exp(uniroot(function(l) log(trigamma(exp(l))) - log(excess), c(-20, 20), tol = 1e-15)$root)
    nu0 <- 2 * half
    s0 <- exp(mean(e) + digamma(half) - log(half))
  }
  list(s0 = s0, nu0 = nu0, nu = sum(nu), cells = length(with_spread))
}

# The moderated variances over the cells of one metric, never below a cell's own.
borrow <- function(cells) {
  p <- priorOf(cells)
  if (is.null(p)) return(cells)
  lapply(cells, function(c) {
    if (c$own / p$s0 > qf(0.95, c$nu, p$nu0)) return(c)
    c$expected <- if (is.infinite(p$nu0)) p$s0 else (p$nu0 * p$s0 + c$nu * c$own) / (p$nu0 + c$nu)
    c$use <- max(c$own, c$expected)
    c$df <- min(p$nu0 + c$nu, p$nu)
    c$method <- sprintf("spread borrowed from %d cells", p$cells)
    c$borrowed <- TRUE
    c$prior <- p$nu
    c
  })
}

cellRow <- function(cell) {
  metric <- cell$metric
  row <- list(n = cell$n, launches = cell$k, sessions = length(unique(cell$sessions)), mean = NA, sd = NA, ci_low = NA, ci_high = NA,
              own_ci_low = NA, own_ci_high = NA, df = NA, method = NA, spread_pct = NA, thin = as.numeric(cell$thin))
  if (metrics[[metric]] == "count") {
    row$mean <- sum(cell$y) / cell$minutes
    return(row)
  }
  ratio <- metrics[[metric]] == "ratio"
  # t.test refuses values that do not vary: their interval is the point.
  own <- if (cell$own > 0) t.test(cell$s)$conf.int else rep(mean(cell$s), 2)
  row$mean <- inUnit(metric, mean(cell$s))
  row$sd <- sqrt(cell$own) * if (ratio) 100 else 1
  row[c("own_ci_low", "own_ci_high")] <- inUnit(metric, own)
  row[c("ci_low", "ci_high")] <- inUnit(metric, mean(cell$s) + c(-1, 1) * qt(0.975, cell$df) * sqrt(cell$use / cell$k))
  row$df <- cell$df
  row$method <- cell$method
  if (ratio) row$spread_pct <- 100 * diff(range(cell$y)) / row$mean
  row
}

# u and its degrees of freedom for one metric: from cells passed in several sessions, else the plan's. `cells` by card and mode.
sessionSpread <- function(metric, cells, card_mode, planned) {
  found <- Filter(function(c) length(unique(c$sessions)) > 1, cells)
  where <- vapply(found, card_mode, "")
  u2 <- nu <- numeric()
  for (mode in unique(where)) {
    of <- found[where == mode]
    # With the same sessions in all cells of a mode, as here, their effects are S numbers however many cells share them.
    stopifnot(length(unique(lapply(of, function(c) sort(unique(c$sessions))))) == 1)
    u2 <- c(u2, mean(vapply(of, function(c) var(as.numeric(tapply(c$s, c$sessions, mean))), 0)))
    nu <- c(nu, length(unique(of[[1]]$sessions)) - 1)
  }
  # Cells that never vary cannot tell what a session moves.
  if (sum(nu) < 3 || all(u2 == 0)) return(list(u2 = planned(metric)^2, nu = Inf, source = "plan"))
  list(u2 = sum(nu * u2) / sum(nu), nu = sum(nu), source = "sessions")
}

oneSession <- list(u2 = 0, nu = Inf, source = "one session")
between <- function(a, b, u) if (length(unique(c(a$sessions, b$sessions))) == 1) oneSession else u

# Squared standard error and Satterthwaite's degrees of freedom of independent terms.
satterthwaite <- function(v, df) list(v = sum(v), df = sum(v)^2 / sum(v^2 / df))

# What a side keeps of u²: the mean of k launches, k_s of each session, has the variance u² Σ(k_s/k)²; a mean over cells at most what
# the one has that keeps most. Each side is a list of cells; `base` is NULL where there is none.
keeps <- function(cells) max(0, vapply(cells, function(c) sum(prop.table(table(c$sessions))^2), 0))
moved <- function(of, base, u) (keeps(of) + keeps(base)) * u$u2

ownError <- function(a, b, u) satterthwaite(c(a$own / a$k, b$own / b$k, moved(list(a), list(b), u)), c(a$nu, b$nu, u$nu))

shownError <- function(a, b, u) {
  sessions <- moved(list(a), list(b), u)
  if (isTRUE(a$borrowed) || isTRUE(b$borrowed)) {
    return(satterthwaite(c(a$use / a$k + b$use / b$k, sessions), c(min(a$df, b$df), u$nu)))
  }
  satterthwaite(c(a$use / a$k, b$use / b$k, sessions), c(a$df, b$df, u$nu))
}

direction <- function(metric, d) if ((d > 0) == higherBetter(metric)) "ahead" else "behind"

# The mean of the cells' variances that repeats are planned with: its upper 80 % limit where few launches stand behind it.
plannedSpread <- function(cells) {
  c2 <- satterthwaite(vapply(cells, function(c) c$expected, 0), vapply(cells, function(c) c$df, 0))
  c2$v / length(cells) * if (c2$df < 20) c2$df / qchisq(0.2, c2$df) else 1
}

# Least launches a side, of up to 1000, whose power is enough, given the standard error at each.
leastRepeats <- function(power) {
  for (ks in list(2:30, 31:200, 201:1000)) {
    enough <- which(power(ks) >= 0.8)
    if (length(enough)) return(ks[enough[1]])
  }
  NA
}

# To show a difference of `step`: the upper tail of the noncentral t.
repeatsToDiffer <- function(planned, u, step, alpha = 0.05) {
  leastRepeats(function(k) pt(qt(1 - alpha / 2, 2 * k - 2), 2 * k - 2, ncp = step / sqrt(2 * planned / k + 2 * u$u2), lower.tail = FALSE))
}

# To show that equal sides are within `step`: two one-sided tests, by the integral over the spread.
repeatsToLevel <- function(planned, u, step, alpha = 0.05) {
  leastRepeats(function(ks) vapply(ks, function(k) {
    nu <- 2 * k - 2
    t <- qt(1 - alpha, nu)
    ratio <- step / sqrt(2 * planned / k + 2 * u$u2)
    top <- min(nu * (ratio / t)^2, qchisq(1e-18, nu, lower.tail = FALSE))
    integrate(function(w) dchisq(w, nu) * (2 * pnorm(ratio - t * sqrt(w / nu)) - 1), 0, top, rel.tol = 1e-9, abs.tol = 0)$value
  }, 0))
}

comparisonRow <- function(a, b, u) {
  metric <- a$metric
  row <- list(n = a$n, base_n = b$n, difference = NA, ratio = NA, percent = NA, ci_low = NA, ci_high = NA, own_ci_low = NA,
              own_ci_high = NA, df = NA, p = NA, session_spread = NA, session_source = NA, verdict = NA, firm = NA,
              repeats_needed = NA, flags = if (a$thin || b$thin) "thin" else NA)
  if (metrics[[metric]] == "count") return(countRow(row, a, b))
  u <- between(a, b, u)
  d <- mean(a$s) - mean(b$s)
  row$difference <- inUnit(metric, mean(a$s)) - inUnit(metric, mean(b$s))
  if (metrics[[metric]] == "ratio") {
    row$ratio <- exp(d)
    row$percent <- 100 * expm1(d)
  }
  row$session_spread <- shown(metric, sqrt(u$u2))
  row$session_source <- u$source
  interval <- function(e, level) if (e$v == 0) c(d, d) else d + c(-1, 1) * qt((1 + level) / 2, e$df) * sqrt(e$v)
  e <- shownError(a, b, u)
  row[c("ci_low", "ci_high")] <- shown(metric, interval(e, 0.95))
  row[c("own_ci_low", "own_ci_high")] <- shown(metric, interval(ownError(a, b, u), 0.95))
  if (e$v == 0) {
    row$flags <- paste(c(na.omit(row$flags), "identical"), collapse = " ")
  } else {
    row$p <- 2 * pt(-abs(d) / sqrt(e$v), e$df)
    row$df <- if (is.finite(e$df)) e$df else NA
  }
  if (a$thin || b$thin) return(row)
  in95 <- interval(e, 0.95)
  row$verdict <- if (all(abs(interval(e, 0.9)) < margin(metric))) "level" else if (in95[1] > 0 || in95[2] < 0) direction(metric, d) else "unresolved"
  if (row$verdict == "unresolved") row$repeats_needed <- repeatsToDiffer(plannedSpread(list(a, b)), u, margin(metric))
  row
}

# Events by time: the exact conditional binomial.
countRow <- function(row, a, b) {
  x <- sum(a$y)
  n <- x + sum(b$y)
  share <- a$minutes / (a$minutes + b$minutes)
  rates <- c(x / a$minutes, sum(b$y) / b$minutes)
  row$difference <- rates[1] - rates[2]
  if (rates[2] > 0) {
    row$ratio <- rates[1] / rates[2]
    row$percent <- 100 * (row$ratio - 1)
  }
  row$p <- 1
  if (n > 0) {
    tails <- vapply(c("less", "greater"), function(side) binom.test(x, n, share, alternative = side)$p.value, 0)
    row$p <- min(1, 2 * min(tails))
    odds <- binom.test(x, n)$conf.int
    limits <- 100 * (odds / (1 - odds) * (1 - share) / share - 1)
    limits[is.infinite(limits)] <- NA
    row[c("ci_low", "ci_high", "own_ci_low", "own_ci_high")] <- rep(limits, 2)
  }
  crowded <- function(c) sum(c$y) > 0 && var(c$y) / mean(c$y) > 2
  if (!crowded(a) && !crowded(b)) {
    row$verdict <- if (row$p <= 0.05 && row$difference != 0) direction(a$metric, row$difference) else "unresolved"
  }
  row
}

# The same pair without a session spread and without borrowing is Welch's test as R has it, and two one-sided ones at the margin.
welchRow <- function(a, b) {
  metric <- a$metric
  d <- mean(a$s) - mean(b$s)
  row <- list(ci_low = shown(metric, d), ci_high = shown(metric, d), df = NA, p = NA, verdict = NA)
  if (a$own == 0 && b$own == 0) {
    row$verdict <- if (abs(d) < margin(metric)) "level" else direction(metric, d) # nothing varies, and t.test refuses
    return(row)
  }
  both <- t.test(a$s, b$s)
  row[c("ci_low", "ci_high")] <- shown(metric, both$conf.int)
  row$df <- both$parameter[[1]]
  row$p <- both$p.value
  above <- t.test(a$s, b$s, mu = -margin(metric), alternative = "greater")$p.value
  below <- t.test(a$s, b$s, mu = margin(metric), alternative = "less")$p.value
  row$verdict <- if (max(above, below) < 0.05) "level" else if (both$p.value < 0.05) direction(metric, d) else "unresolved"
  row
}

# Which leads and deficits stand at a false discovery rate of 5 %, among the rows with a verdict.
firmOf <- function(rows) {
  verdict <- vapply(rows, function(r) r$verdict, "")
  p <- vapply(rows, function(r) r$p, 0)
  difference <- vapply(rows, function(r) r$difference, 0)
  p[is.na(p)] <- ifelse(difference[is.na(p)] != 0, 0, 1)
  p.adjust(p, "BH") <= 0.05 & verdict %in% c("ahead", "behind")
}
