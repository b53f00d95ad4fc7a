# Heating curves of one and of two exponentials by R's nls, from a tab-separated file with the columns
#
#   case t y     points: case, time in s, temperature
#
# and a second file with where to begin for each case: case final a1 tau1 a2 tau2. One line a case and number of terms, tab-separated:
#
#   CASE TERMS final u(final) tau1 tau2 rss bic r1       NA for a tau that is not there
#
# bic is n ln(RSS/n) + p ln n; r1 is acf's of the residuals; u is from vcov.
args <- commandArgs(trailingOnly = TRUE)
points <- read.table(args[1], header = TRUE)
starts <- read.table(args[2], header = TRUE)
control <- nls.control(maxiter = 500, tol = 1e-9, scaleOffset = 1e-9, minFactor = 1e-12, warnOnly = TRUE)
digits <- function(x) if (is.na(x)) "NA" else sprintf("%.17g", x)

show <- function(case, terms, d, fit) {
  rest <- residuals(fit)
  n <- length(rest)
  rss <- sum(rest^2)
  co <- coef(fit)
  tau <- sort(exp(co[grep("^logTau", names(co))]))
  p <- length(co)
  writeLines(paste(c(case, terms, digits(co[["final"]]), digits(sqrt(vcov(fit)["final", "final"])), digits(tau[1]), digits(tau[2]), digits(rss),
                     digits(n * log(rss / n) + p * log(n)), digits(acf(rest, lag.max = 1, plot = FALSE)$acf[2])), collapse = "\t"))
}

for (i in seq_len(nrow(starts))) {
  s <- starts[i, ]
  d <- points[points$case == s$case, ]
  one <- nls(y ~ final + a1 * exp(-t / exp(logTau1)), d, control = control,
             start = list(final = s$final, a1 = s$a1 + s$a2, logTau1 = log(s$tau2)))
  show(s$case, 1, d, one)
  two <- nls(y ~ final + a1 * exp(-t / exp(logTau1)) + a2 * exp(-t / exp(logTau2)), d, control = control,
             start = list(final = s$final, a1 = s$a1, logTau1 = log(s$tau1), a2 = s$a2, logTau2 = log(s$tau2)))
  show(s$case, 2, d, two)
}
