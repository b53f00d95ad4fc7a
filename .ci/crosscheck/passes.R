# The figures of one pass, from the raw file on: whole nanoseconds, cut, and then R's own functions wherever R has one.

# Frame times in whole nanoseconds of a capture: one column under its name, or two with the program's name, of which only the rows
# of the game count.
readCapture <- function(path, game) {
  lines <- readLines(path)
  lines <- lines[!startsWith(lines, "#")]
  if (grepl("\\.tsv", path)) {
    table <- read.delim(text = lines, colClasses = c("character", "numeric"))
    stopifnot(names(table) == c("program", "frame_us"))
    return(round(table$frame_us[table$program == game] * 1e3))
  }
  table <- read.csv(text = lines, colClasses = "numeric")
  stopifnot(names(table) == "frame_ms")
  round(table$frame_ms * 1e6)
}

# A pass: its kept frames, and where in the capture they begin.
keptOf <- function(x, warmup, length) {
  end <- cumsum(x)
  start <- c(0, end[-length(end)])
  keep <- start >= warmup & end <= warmup + length
  list(x = x[keep], cut = sum(!keep), from = start[keep][1])
}

# Median of the frames from i-h to i+h, cut at the ends: runmed where the window is whole, a plain median where it is not.
windowMedian <- function(x, h) {
  n <- length(x)
  plain <- function(i) median(x[max(1, i - h):min(n, i + h)])
  if (2 * h + 1 > n) return(vapply(seq_len(n), plain, 0))
  m <- as.numeric(runmed(x, 2 * h + 1, endrule = "keep"))
  ends <- c(seq_len(h), n - h + seq_len(h))
  m[ends] <- vapply(ends, plain, 0)
  m
}

hitchesOf <- function(x) {
  ms <- 1e6
  h <- max(15, ceiling(2000 * ms / median(x)))
  m <- windowMedian(x, h)
  hitch <- x > m + pmax(8 * ms, pmin(m, 50 * ms))
  runs <- rle(hitch)
  list(hitch_frames = sum(hitch), hitch_events = sum(runs$values), hitch_time_share = sum((x - m)[hitch]) / sum(x))
}

# The three lows at one part in `part`, and on how many frames each rests.
lowsOf <- function(x, part) {
  slowest <- sort(x, decreasing = TRUE)
  m <- ceiling(length(x) / part)
  share <- which(part * cumsum(slowest) >= sum(x))[1]
  list(
    fps = 1e9 / c(quantile(x, 1 - 1 / part, type = 7, names = FALSE), mean(slowest[1:m]), slowest[share]),
    frames = c(m, m, share)
  )
}

# Frames per second between consecutive edges, in ns from the first kept frame; linear within a frame.
blockRates <- function(x, edges) {
  frames <- approx(c(0, cumsum(x)), 0:length(x), xout = edges)$y
  diff(frames) / diff(edges) * 1e9
}

listedRates <- c(24, 25, 30, 40, 48, 50, 60, 72, 75, 90, 100, 120, 144, 160, 165, 175, 180, 200, 240, 280, 300, 360, 480, 500, 540)

# "cap" or "ceiling" by the rates of the whole seconds, else nothing.
capOf <- function(seconds, display_hz) {
  near <- function(rate) mean(abs(seconds / rate - 1) <= 0.003)
  rates <- c(listedRates, listedRates * 1000 / 1001, display_hz)
  if (max(vapply(rates, near, 0)) >= 0.5) return("cap")
  edge <- quantile(seconds, c(0.02, 0.95), names = FALSE)
  if (near(edge[2]) >= 0.3 && edge[1] < 0.98 * edge[2]) "ceiling" else character()
}

passFigures <- function(pass, display_hz) {
  x <- pass$x
  n <- length(x)
  total <- sum(x)
  ms <- function(ns) ns / 1e6
  q <- quantile(x, c(0.5, 0.95, 0.99, 0.999), type = 7, names = FALSE)
  one <- lowsOf(x, 100)
  tenth <- lowsOf(x, 1000)
  over <- function(hz) sum(x[x > 1.05 * 1e9 / hz]) / total
  figures <- c(list(
    frames = n, frames_cut = pass$cut, duration_s = total / 1e9,
    mean_fps = 1e9 * n / total, frame_ms_mean = ms(mean(x)), frame_ms_sd = ms(sd(x)),
    frame_ms_p50 = ms(q[1]), frame_ms_p95 = ms(q[2]), frame_ms_p99 = ms(q[3]), frame_ms_p999 = ms(q[4]), frame_ms_max = ms(max(x)),
    low1_quantile_fps = one$fps[1], low1_tail_mean_fps = one$fps[2], low1_time_share_fps = one$fps[3],
    low01_quantile_fps = tenth$fps[1], low01_tail_mean_fps = tenth$fps[2], low01_time_share_fps = tenth$fps[3],
    rmssd_ms = ms(sqrt(sum(diff(x)^2) / (n - 1))), lag1 = acf(x, lag.max = 1, plot = FALSE)$acf[2],
    over_60hz_share = over(60), over_120hz_share = over(120), over_display_share = over(display_hz)
  ), hitchesOf(x))
  pass$figures <- figures
  pass$thin <- c(one$frames, tenth$frames) < 5
  names(pass$thin) <- c("low1_quantile_fps", "low1_tail_mean_fps", "low1_time_share_fps",
                        "low01_quantile_fps", "low01_tail_mean_fps", "low01_time_share_fps")
  pass$profile <- blockRates(x, total * (0:10) / 10)
  pass$seconds <- blockRates(x, 1e9 * (0:floor(total / 1e9)))
  pass$cap <- capOf(pass$seconds, display_hz)
  pass
}
