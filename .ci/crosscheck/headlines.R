# Over games: summaries per resolution and group, and claims.

# The difference of two cells on the scale, and its error but for the sessions': one term where a spread is borrowed.
partOf <- function(a, b) {
  if (isTRUE(a$borrowed) || isTRUE(b$borrowed)) {
    return(list(d = mean(a$s) - mean(b$s), v = a$use / a$k + b$use / b$k, df = min(a$df, b$df), leans = TRUE, prior = max(a$prior, b$prior)))
  }
  list(d = mean(a$s) - mean(b$s), v = c(a$use / a$k, b$use / b$k), df = c(a$df, b$df), leans = FALSE, prior = 0)
}

# One figure alone.
partAlone <- function(a) list(d = mean(a$s), v = a$use / a$k, df = a$df, leans = isTRUE(a$borrowed), prior = if (isTRUE(a$borrowed)) a$prior else 0)

# The mean over games of the means within each. Borrowed errors together have no more degrees of freedom than the prior.
overGames <- function(parts, games) {
  means <- tapply(vapply(parts, function(p) p$d, 0), factor(games, unique(games)), mean)
  weight <- 1 / (table(games)[games] * length(means))
  leans <- vapply(parts, function(p) p$leans, NA)
  v <- unlist(Map(function(p, w) p$v * w^2, parts[!leans], weight[!leans]))
  df <- unlist(lapply(parts[!leans], function(p) p$df))
  if (any(leans)) {
    lent <- satterthwaite(unlist(Map(function(p, w) p$v * w^2, parts[leans], weight[leans])), unlist(lapply(parts[leans], function(p) p$df)))
    v <- c(v, lent$v)
    df <- c(df, min(lent$df, max(vapply(parts, function(p) p$prior, 0))))
  }
  list(d = mean(means), games = means, v = v, df = df, weight = sum(weight^2))
}

allSessions <- function(cells) unique(unlist(lapply(cells, function(c) c$sessions)))

summaryRow <- function(metric, of, base, games, rows, left_out, u) {
  row <- list(games = 0, left_out = left_out, ratio = NA, percent = NA, these_low = NA, these_high = NA, like_low = NA, like_high = NA,
              verdict = NA, leads = 0, levels = 0, trails = 0, difference = NA, df = NA, p = NA, session_spread = NA, session_source = NA,
              most_game = NA, most = NA, least_game = NA, least = NA, flags = NA)
  if (length(of) > 0 && length(allSessions(c(of, base))) == 1) u <- oneSession
  row$session_spread <- shown(metric, sqrt(u$u2))
  row$session_source <- u$source
  if (length(of) == 0) return(row)
  o <- overGames(Map(partOf, of, base), games)
  row$games <- length(o$games)
  if (metrics[[metric]] == "ratio") {
    row$ratio <- exp(o$d)
    row$percent <- 100 * expm1(o$d)
  } else {
    row$difference <- o$d
  }
  row$most_game <- names(which.max(o$games))
  row$most <- shown(metric, max(o$games))
  row$least_game <- names(which.min(o$games))
  row$least <- shown(metric, min(o$games))
  interval <- function(e, level) o$d + c(-1, 1) * if (e$v == 0) 0 else qt((1 + level) / 2, e$df) * sqrt(e$v)
  these <- satterthwaite(c(o$v, moved(of, base, u)), c(o$df, u$nu))
  row[c("these_low", "these_high")] <- shown(metric, interval(these, 0.95))
  if (these$v == 0) {
    row$flags <- "identical"
  } else {
    row$p <- 2 * pt(-abs(o$d) / sqrt(these$v), these$df)
    row$df <- if (is.finite(these$df)) these$df else NA
  }
  in95 <- interval(these, 0.95)
  row$verdict <- if (all(abs(interval(these, 0.9)) < margin(metric))) "level" else if (in95[1] > 0 || in95[2] < 0) direction(metric, o$d) else "unresolved"
  if (length(o$games) >= 3) {
    like <- satterthwaite(c(var(o$games) / length(o$games), moved(of, base, u)), c(length(o$games) - 1, u$nu))
    row[c("like_low", "like_high")] <- shown(metric, interval(like, 0.95))
  }
  for (game in unique(games)) {
    verdict <- vapply(rows[games == game], function(r) r$verdict, "")
    firm <- vapply(rows[games == game], function(r) r$firm, 0) == 1
    leads <- any(firm & verdict == "ahead")
    trails <- any(firm & verdict == "behind")
    if (leads && !trails) row$leads <- row$leads + 1
    if (trails && !leads) row$trails <- row$trails + 1
    if (all(verdict == "level")) row$levels <- row$levels + 1
  }
  row
}

# What a frame costs and at which price it costs as much as the base's: a price is exact, so that the error is the frame rates'. NULL is no
# base, NA no price. ends are of the interval.
worthRow <- function(of, base, games, price, base_price, u) {
  if (!is.null(base) && length(allSessions(c(of, base))) == 1) u <- oneSession
  o <- overGames(if (is.null(base)) lapply(of, partAlone) else Map(partOf, of, base), games)
  e <- satterthwaite(c(o$v, moved(of, base, u)), c(o$df, u$nu))
  half <- function(level) if (e$v == 0) 0 else qt((1 + level) / 2, e$df) * sqrt(e$v)
  row <- function(value, ends) list(value = value, ci_low = min(ends), ci_high = max(ends), games = length(o$games), n = length(of))
  ends <- c(-1, 1) * half(0.95)
  if (is.null(base)) return(list(per_frame = row(price / exp(o$d), price / exp(o$d + ends))))
  d <- log(price / base_price) - o$d
  verdict <- if (abs(d) + half(0.9) < margin("mean_fps")) "level" else if (abs(d) <= half(0.95)) "unresolved" else if (d < 0) "ahead" else "behind"
  list(against = c(row(100 * expm1(d), 100 * expm1(d + ends)), p = if (e$v > 0) 2 * pt(-abs(d) / sqrt(e$v), e$df) else NA, verdict = verdict),
       break_even = row(base_price * exp(o$d), base_price * exp(o$d + ends)))
}

# A claim's region on the scale. A percentage, a figure in the unit, or percentage points.
onRegion <- function(metric, absolute, x) {
  if (metrics[[metric]] == "difference") return(x / 100)
  if (absolute) log(x) else log1p(x / 100)
}

# What the data say to one claim, before the others are looked at.
claimFigures <- function(claim, of, base, games, u) {
  metric <- claim$metric
  absolute <- is.null(base)
  if (!absolute && length(allSessions(c(of, base))) == 1) u <- oneSession
  o <- overGames(if (absolute) lapply(of, partAlone) else Map(partOf, of, base), games)
  e <- satterthwaite(c(o$v, moved(of, base, u)), c(o$df, u$nu))
  region <- c(-Inf, Inf)
  near <- !is.null(claim$near)
  same <- isTRUE(claim$same)
  if (!is.null(claim$at_least)) region[1] <- onRegion(metric, absolute, claim$at_least)
  if (!is.null(claim$at_most)) region[2] <- onRegion(metric, absolute, claim$at_most)
  if (near) region <- onRegion(metric, absolute, claim$near + c(-1, 1) * claim$within)
  if (same) region <- c(-1, 1) * margin(metric)
  above <- function(edge) pt((o$d - edge) / sqrt(e$v), e$df, lower.tail = FALSE)
  below <- function(edge) pt((o$d - edge) / sqrt(e$v), e$df)
  unit <- function(y) if (absolute) inUnit(metric, y) else shown(metric, y)
  ends <- unit(o$d + c(-1, 1) * qt(0.975, e$df) * sqrt(e$v))
  inside <- o$d > region[1] && o$d < region[2]
  p_for <- if (near || same) max(above(region[1]), below(region[2])) else 2 * if (is.finite(region[1])) above(region[1]) else below(region[2])
  p_against <- if (o$d < region[1]) 2 * below(region[1]) else if (o$d > region[2]) 2 * above(region[2]) else 1
  p_sign <- if (near && claim$near != 0 && !absolute) 2 * (if (claim$near > 0) above(0) else below(0)) else NA
  cells <- c(of, base)
  row <- list(cells = length(of), games = length(o$games), estimate = unit(o$d), ci_low = ends[1], ci_high = ends[2], p_for = min(1, p_for),
              p_sign = min(1, p_sign), p_against = min(1, p_against), verdict = NA, leaning = NA, repeats_needed = NA,
              df = if (is.finite(e$df)) e$df else NA, session_spread = shown(metric, sqrt(u$u2)), session_source = u$source)
  list(row = row, inside = inside, near = near, same = same, absolute = absolute, cells = cells, u = u, weight = o$weight, claim = claim)
}

# Holm over the claims that have each p, then the verdicts.
judgeClaims <- function(found) {
  for (p in c("p_for", "p_sign", "p_against")) {
    adjusted <- p.adjust(vapply(found, function(f) as.numeric(f$row[[p]]), 0), "holm")
    for (i in seq_along(found)) found[[i]]$row[[p]] <- adjusted[i]
  }
  lapply(found, function(f) {
    row <- f$row
    tight <- f$near && (row$ci_high - row$ci_low) / 2 <= if (f$absolute) f$claim$within else max(f$claim$within, abs(f$claim$near) / 2)
    row$verdict <- if (!f$inside && row$p_against <= 0.05) "contradicted"
      else if (f$inside && row$p_for <= 0.05) "supported"
      else if (f$inside && tight && (f$absolute || isTRUE(row$p_sign <= 0.05))) "fits"
      else "open"
    if (row$verdict == "open") {
      row$leaning <- if (f$inside) "for" else "against"
      row$repeats_needed <- repeatsForClaim(f, 0.05 / length(found))
    }
    row
  })
}

# Launches a side that settle an open claim, which may err by its share: a region is shown from its middle by both one-sided tests, a
# bound from one margin away. The spread is the mean of the cells', as the mean over games has it.
repeatsForClaim <- function(f, alpha) {
  stopifnot(!f$absolute) # none of the open ones is
  metric <- f$claim$metric
  planned <- plannedSpread(f$cells) * f$weight
  if (f$same) return(repeatsToLevel(planned, f$u, margin(metric), alpha))
  if (f$near) return(repeatsToLevel(planned, f$u, diff(onRegion(metric, FALSE, f$claim$near + c(-1, 1) * f$claim$within)) / 2, alpha))
  repeatsToDiffer(planned, f$u, margin(metric), alpha)
}
