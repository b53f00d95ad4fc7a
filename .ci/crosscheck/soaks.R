# What the demo's half hours say of three cards, and by how much two of them differ from the first: Rscript soaks.R DEMO
# DEMO has the logs without .zst. Prints a line a figure: table, key, column, value. Nothing but the definitions is shared with the tool.
# The fourth card's probes are voltages; type K is held against its table elsewhere.

demo <- commandArgs(trailingOnly = TRUE)[1]
folder <- file.path(demo, "soak", "half_hour")
lead_in <- 30; long <- 1800; settle <- 120
from <- lead_in; to <- lead_in + long

area <- function(t, v, from, to) {
  at <- sort(unique(c(from, t[t > from & t < to], to)))
  y <- approx(t, v, xout = at, ties = "ordered")$y
  sum(diff(at) * (y[-1] + y[-length(y)]) / 2)
}
over <- function(s, from, to) area(s$t, s$v, from, to) / (to - from)
moving_peak <- function(s, width) {
  ends <- s$t[s$t - width >= from & s$t <= to]
  means <- sapply(ends, function(e) over(s, e - width, e))
  end <- ends[which.max(means)]
  list(value = max(means), samples = s$v[s$t >= end - width & s$t <= end])
}
# each sample holds half of the way to its neighbours; the smallest value whose cumulated time reaches half
middle <- function(s) {
  n <- length(s$t)
  edge <- c(s$t[1], (s$t[-1] + s$t[-n]) / 2, s$t[n])
  weight <- pmax(0, pmin(edge[-1], to) - pmax(edge[-(n + 1)], from))
  o <- order(s$v)
  reached <- cumsum(weight[o]) >= sum(weight) / 2
  s$v[o][which(reached)[1]]
}
under <- function(s) s$v[s$t >= from & s$t <= to]

card_log <- function(name) {
  d <- read.csv(file.path(folder, paste0(name, ".csv")))
  pick <- function(column) list(t = d$elapsed_s, v = d[[column]])
  list(core = pick("core_temp_c"), power = pick("board_power_w"), fan = pick("fan_rpm"), core_clock = pick("core_clock_mhz"))
}
probes_log <- function(name) {
  txt <- file.path(folder, paste0(name, "-probes.txt.gz"))
  if (file.exists(txt)) {
    d <- read.csv2(gzfile(txt))
    when <- as.POSIXct(d$Zeit, format = "%d.%m.%Y %H:%M:%S", tz = "UTC")
    v <- d[, c("K1", "K2", "K3", "K4", "K5", "K6")]
  } else {
    d <- read.csv(gzfile(file.path(folder, paste0(name, "-probes.csv.gz"))))
    when <- as.POSIXct(d$when, format = "%m/%d/%Y %H:%M:%S", tz = "UTC")
    v <- (d[, c("board_f", "s1_f", "s2_f", "s3_f", "s4_f", "room_f")] - 32) * 5 / 9
  }
  t <- as.numeric(when) - as.numeric(when[1]) - 12.5
  names(v) <- c("board", "stage_1", "stage_2", "stage_3", "stage_4", "room")
  lapply(v, function(x) list(t = t, v = x))
}

say <- function(table, key, ...) {
  figures <- list(...)
  for (name in names(figures)) cat(paste(table, key, name, sprintf("%.17g", figures[[name]]), sep = "\t"), "\n", sep = "")
}

# GUM: the mean of samples that resemble each other
scatter <- function(x) {
  n <- length(x)
  m <- mean(x)
  r <- sum((x[-1] - m) * (x[-n] - m)) / sum((x - m)^2)
  worth <- min(max(n * (1 - r) / (1 + r), 2), n)
  c(u2 = var(x) / worth, df = worth - 1)
}
combine <- function(terms) { # rows of u2, df
  u2 <- sum(terms[, 1])
  c(u2 = u2, df = u2^2 / sum(terms[, 1]^2 / terms[, 2]))
}
tolerance <- function(celsius) max(1.5, 0.004 * celsius) # class 1
chain <- function(celsius, samples, ...)
  combine(rbind(c(tolerance(celsius)^2 / 3, Inf), c(0.5^2 / 3, Inf), c(0.01^2 / 12, Inf), c(1, Inf), scatter(samples), ...))
apart <- function(a, b, figure) {
  at <- if (figure == "rise_k") "end_c" else figure
  samples <- if (figure == "sustained_peak_c") "top" else "tail"
  if (a$wire == b$wire) {
    return(combine(rbind(c((0.004 * abs(a[[at]] - b[[at]]))^2 / 3, Inf), c(0.01^2 / 12, Inf), c(1, Inf), scatter(a[[samples]]), c(0.01^2 / 12, Inf),
      c(1, Inf), scatter(b[[samples]]))))
  }
  both <- function(p) rbind(c(tolerance(p[[at]])^2 / 3, Inf), c(0.5^2 / 3, Inf), c(0.01^2 / 12, Inf), c(1, Inf), scatter(p[[samples]]))
  combine(rbind(both(a), both(b)))
}

modes <- list(c("tern_ref", "stock"), c("heron_x", "stock"), c("gannet", "stock"), c("gannet", "quiet"))
soaked <- list()
for (m in modes) for (i in 1:2) {
  name <- paste(m[1], m[2], i, sep = "-")
  log <- card_log(name)
  probes <- probes_log(name)
  room <- over(probes$room, to - 600, to)
  all <- c(log["core"], probes[c("board", "stage_1", "stage_2", "stage_3", "stage_4")])
  stages <- probes[c("stage_1", "stage_2", "stage_3", "stage_4")]
  hottest <- names(stages)[which.max(sapply(stages, function(s) max(under(s))))]
  all$stages <- list(t = stages[[1]]$t, v = do.call(pmax, lapply(stages, function(s) s$v)))
  figures <- list()
  for (p in names(all)) {
    s <- all[[p]]
    end <- over(s, to - settle, to)
    tail <- s$v[s$t >= to - settle & s$t <= to]
    top <- moving_peak(s, 10)
    figures[[p]] <- list(peak_c = max(under(s)), sustained_peak_c = top$value, end_c = end, rise_k = end - room,
      tail = tail, top = top$samples, wire = if (p == "stages") hottest else p)
    key <- paste(m[1], m[2], i, p)
    say("soaks", key, peak_c = figures[[p]]$peak_c, sustained_peak_c = figures[[p]]$sustained_peak_c, end_c = end, rise_k = end - room)
    uncertain <- function(figure, u)
      say("soaks", paste(key, "uncertainty of", figure), u = sqrt(u[["u2"]]), expanded = sqrt(u[["u2"]]) * qt(0.975, u[["df"]]))
    if (p != "core") {
      uncertain("end_c", chain(end, tail))
      uncertain("rise_k", chain(end, tail, c(0.5^2 / 3, Inf))) # the room's thermometer is within half a kelvin
      uncertain("sustained_peak_c", chain(top$value, top$samples))
    }
  }
  figures$power <- list(mean_power_w = over(log$power, from, to), peak_power_w = max(under(log$power)), peak_1s_power_w = moving_peak(log$power, 1)$value)
  figures$core_clock <- list(clock_median_mhz = middle(log$core_clock), clock_mean_mhz = over(log$core_clock, from, to))
  figures$fan <- list(fan_typical_rpm = middle(log$fan))
  for (p in c("power", "core_clock", "fan")) do.call(say, c(list("soaks", paste(m[1], m[2], i, p)), figures[[p]]))
  soaked[[paste(m[1], m[2])]][[i]] <- figures
}

# by how much a card and mode differs from the baseline: Welch over two soaks a side, mounting and instruments beside it
base <- soaked[["tern_ref stock"]]
for (name in names(soaked)[-1]) {
  these <- soaked[[name]]
  for (p in names(base[[1]])) for (figure in setdiff(names(base[[1]][[p]]), c("tail", "top", "wire"))) {
    ratio <- grepl("_w$|_mhz$|_rpm$", figure)
    get <- function(side) sapply(side, function(f) f[[p]][[figure]])
    scale <- if (ratio) base::log else identity
    a <- scale(get(these))
    b <- scale(get(base))
    d <- mean(a) - mean(b)
    session <- combine(rbind(c(if (ratio) base::log(1.002)^2 else 0.5^2, Inf)))
    if (!ratio && p != "core") {
      worst <- c(u2 = 0, df = Inf)
      for (x in these) for (y in base) {
        u <- apart(x[[p]], y[[p]], figure)
        if (u[["u2"]] > worst[["u2"]]) worst <- u
      }
      session <- combine(rbind(session, c(worst[["u2"]] / 2, worst[["df"]])))
    }
    e <- combine(rbind(c(var(a) / 2, 1), c(var(b) / 2, 1), c(2 * session[["u2"]], session[["df"]])))
    half <- qt(0.975, e[["df"]]) * sqrt(e[["u2"]])
    shown <- if (ratio) function(x) 100 * expm1(x) else identity
    say("differences", paste(name, p, figure), difference = shown(d), low = shown(d - half), high = shown(d + half), df = if (is.finite(e[["df"]])) e[["df"]] else NA,
      p = 2 * pt(-abs(d) / sqrt(e[["u2"]]), e[["df"]]))
  }
}

# the fan sweep, from the readings as they stand in the plan: levels by their energy, corrected for the background, whose readings and the
# meter's class 2 stand in the plan too; and where 42 dB lie between two steps that stand at least 6 dB above the background
rows <- readLines(file.path(demo, "readings.hcl"))
number <- function(row, key) {
  text <- sub(paste0(".*[{ ]", key, " = (\\[[^]]*\\]|[0-9.]+).*"), "\\1", row)
  as.numeric(strsplit(gsub("[][ ]", "", text), ",")[[1]])
}
background <- c(30.6, 31.0, 31.5)
energy_mean <- function(db) 10 * log10(mean(10^(db / 10)))
card <- ""
swept <- list()
for (row in rows) {
  if (grepl("^reading \"fan_", row)) card <- sub(".*\"fan_(.*)\".*", "\\1", row)
  if (!grepl("percent = ", row)) next
  db <- number(row, "db")
  above <- energy_mean(db) - energy_mean(background)
  k1 <- if (above > 15) 0 else if (above >= 6) -10 * log10(1 - 10^(-above / 10)) else 1.3
  c1 <- if (above > 15) 1 else 1 / (1 - 10^(-above / 10))
  step <- c(percent = number(row, "percent"), level = energy_mean(db) - k1, rpm = number(row, "rpm"), end = number(row, "temperature_c"),
    rise = number(row, "temperature_c") - number(row, "ambient_c"), sure = above >= 6)
  swept[[card]] <- rbind(swept[[card]], step)
  key <- paste(card, step[["percent"]])
  say("sweep", key, sound_level_db = step[["level"]], fan_typical_rpm = step[["rpm"]], end_c = step[["end"]], rise_k = step[["rise"]])
  if (above >= 6) {
    u <- combine(rbind(c(c1^2 * 1.0^2 / 3, Inf), c(c1^2 * var(db) / length(db), length(db) - 1), c((c1 - 1)^2 * 1.0^2 / 3, Inf),
      c((c1 - 1)^2 * var(background) / 3, 2))[c(TRUE, TRUE, c1 > 1, c1 > 1), ])
    say("sweep", paste(key, "uncertainty"), u = sqrt(u[["u2"]]), expanded = sqrt(u[["u2"]]) * qt(0.975, u[["df"]]))
  }
}
for (card in names(swept)) {
  s <- as.data.frame(swept[[card]])
  s <- s[s$sure == 1, ]
  at <- function(column) approx(s$level, s[[column]], xout = 42)$y
  say("at target", card, fan_pct = at("percent"), fan_at_target_rpm = at("rpm"), end_at_target_c = at("end"), rise_at_target_k = at("rise"))
}
