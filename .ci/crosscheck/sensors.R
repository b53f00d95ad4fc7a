# What the sensors that were logged beside the real captures say of each pass: Rscript sensors.R CAPTURES WARMUP_S LENGTH_S.
# Prints a line a figure: table, pass, column, value. Nothing but the definitions is shared with the tool: trapezoids between the
# samples, interpolated where the kept time begins and ends, from the captures themselves.

arguments <- commandArgs(trailingOnly = TRUE)
warmup <- as.numeric(arguments[2])
length_s <- as.numeric(arguments[3])

area <- function(t, v, from, to) {
  from <- max(from, t[1])
  to <- min(to, t[length(t)])
  at <- sort(unique(c(from, t[t > from & t < to], to)))
  y <- approx(t, v, xout = at)$y
  c(area = sum(diff(at) * (y[-1] + y[-length(y)]) / 2), covered = to - from)
}

resolutions <- c("2560x1440" = "qhd", "3840x2160" = "uhd")
for (path in Sys.glob(file.path(arguments[1], "*.r?.frames.csv*"))) {
  frames <- read.csv(path)
  sensors <- read.csv(sub("frames", "sensors", path))
  end <- cumsum(frames$frame_ms) / 1e3
  start <- c(0, end[-length(end)])
  kept <- which(start >= warmup & end <= warmup + length_s)
  from <- frames$elapsed_s[kept[1]] - frames$frame_ms[kept[1]] / 1e3
  to <- frames$elapsed_s[kept[length(kept)]]
  mean_of <- function(v) {
    has <- !is.na(v)
    a <- area(sensors$elapsed_s[has], v[has], from, to)
    a[["area"]] / a[["covered"]]
  }
  part <- strsplit(basename(path), ".", fixed = TRUE)[[1]]
  key <- paste(part[1], "stock", part[2], "plain", resolutions[[part[3]]], sub("r", "", part[4]))
  power <- mean_of(sensors$board_power_w)
  energy <- power * (to - from)
  figures <- c(
    mean_power_w = power, energy_per_frame_j = energy / length(kept), frames_per_joule = length(kept) / energy,
    clock_mean_mhz = mean_of(sensors$core_clock_mhz), mean_temp_c = mean_of(sensors$core_temp_c),
    start_temp_c = sensors$core_temp_c[!is.na(sensors$core_temp_c)][1]
  )
  for (name in names(figures)) cat(paste("runs", key, name, sprintf("%.17g", figures[[name]]), sep = "\t"), "\n", sep = "")
}
