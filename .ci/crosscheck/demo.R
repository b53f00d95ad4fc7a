# Works out the demo review again, from its raw captures and its bench log, by the definitions and with nothing of rigslate:
#
#   Rscript demo.R FOLDER [passes]
#
# FOLDER is the demo with its .zst captures unpacked; the log may have some of its cells only. "passes" stops before cells. One line
# a figure: table, key, column, value; "NA" where there is none.
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
for (part in c("passes.R", "siblings.R", "cells.R", "controls.R", "headlines.R")) source(file.path(here, part))
folder <- commandArgs(trailingOnly = TRUE)[1]

# What the plan says, said again.
warmup <- 3e9
kept <- 30e9
display_hz <- 144
max_spread <- 0.03
baseline <- "tern_ref stock"
control <- "tern_ref stock fjord plain qhd"
expected_spread <- log(1.005) # the plan states none, so the default
games <- c("fjord", "bazaar", "kelp", "quarry", "orrery")
groups <- list(all = c("plain", "rays_up"), rasterised = "plain", `ray traced` = "rays_up") # by variant
pixels <- c(qhd = 2560 * 1440, uhd = 3840 * 2160)
claims <- list(
  uhd_lead = list(metric = "mean_fps", of = "heron_x stock", against = "tern_ref stock", near = 5, within = 1, sizes = "uhd",
                  games = c("fjord plain", "kelp plain", "quarry plain")),
  as_fast_as_reference = list(metric = "mean_fps", of = "gannet stock", against = "tern_ref stock", same = TRUE),
  tuning_step = list(metric = "mean_fps", of = "heron_x tuned", against = "heron_x stock", at_least = 2, sizes = "uhd"),
  # and those that the test adds to it
  far_ahead = list(metric = "mean_fps", of = "heron_x stock", against = "tern_ref stock", at_least = 9, sizes = "uhd", games = "fjord plain"),
  no_slower = list(metric = "low1_quantile_fps", of = "heron_x stock", against = "tern_ref stock", at_least = 0),
  at_most_so_much = list(metric = "frame_ms_mean", of = "gannet quiet", against = "tern_ref stock", at_most = 3.5),
  hits = list(metric = "mean_fps", of = "heron_x tuned", near = 67, within = 2, sizes = "uhd", games = "fjord plain"),
  a_little_ahead = list(metric = "mean_fps", of = "heron_x stock", against = "tern_ref stock", near = 1.5, within = 1.4, games = "kelp plain"),
  less_over_limit = list(metric = "over_120hz_share", of = "heron_x tuned", against = "tern_ref stock", at_most = -1, sizes = "qhd")
)
prices <- list(list = c(tern_ref = 589, heron_x = 649, gannet = 569, skua = 499), street = c(tern_ref = 574.90, heron_x = 611.90, gannet = 559, skua = 489.50))
planned <- function(metric) if (metrics[[metric]] == "ratio") log(1.002) else 0.002

put <- function(table, key, row) {
  text <- vapply(row, function(v) if (is.na(v)) "NA" else if (is.character(v)) v else sprintf("%.17g", v), "")
  writeLines(paste(table, key, names(row), text, sep = "\t"))
}

log <- read.csv(file.path(folder, "bench.csv"), colClasses = "character")
cellOfLog <- function(l) paste(l$card, l$mode, l$game, l$variant, l$resolution)
fails <- unique(cellOfLog(log[log$outcome != "ok", ]))
log <- log[log$outcome == "ok", ]
stopifnot(nrow(log) > 0)
passes <- lapply(split(log, seq_len(nrow(log))), function(l) {
  path <- file.path(folder, sub("\\.zst$", "", l$file))
  pass <- keptOf(readCapture(path, l$game), warmup, kept)
  pass$cell <- cellOfLog(l)
  pass$repeat_no <- l$repeat.
  pass$launch <- l$launch
  pass$session <- l$session
  passFigures(pass, display_hz)
})

by_cell <- lapply(split(passes, vapply(passes, function(p) p$cell, "")), besideSiblings)
suspects <- suspectsOf(lapply(by_cell, function(ps) vapply(ps, function(p) p$figures$mean_fps, 0)), max_spread)
prior <- priorOf(lapply(by_cell, function(ps) cellOf("mean_fps", ps)))
out <- sessionsOut(by_cell[[control]], planned("mean_fps")^2, prior, expected_spread, max_spread)
for (i in seq_along(by_cell)) {
  for (j in seq_along(by_cell[[i]])) {
    p <- by_cell[[i]][[j]]
    # A session is one mounting of a card, whatever its mode.
    off <- p$session %in% out && sub(" .*", "", p$cell) == sub(" .*", "", control)
    suspect <- suspects[[i]][j] && !(off && p$cell == control)
    words <- c(p$words, if (suspect) "suspect", if (off) "control", p$cap, if (any(p$thin)) "thin")
    put("runs", paste(p$cell, p$repeat_no), c(p$figures, p$beside, flags = if (length(words)) paste(words, collapse = " ") else NA))
  }
}

if (identical(commandArgs(trailingOnly = TRUE)[2], "passes")) quit()

key_of <- function(key, part) vapply(strsplit(key, " "), function(w) paste(w[part], collapse = " "), "")
pairs <- list()
for (cell in names(by_cell)) {
  against <- c(if (key_of(cell, 1:2) != baseline) baseline,
               unlist(lapply(claims, function(c) if (c$of == key_of(cell, 1:2)) c$against)))
  for (mode in unique(against)) {
    base <- paste(mode, key_of(cell, 3:5))
    if (base %in% names(by_cell)) pairs <- c(pairs, list(c(cell, base)))
  }
}

# Cells whose rate does not fall with the pixels: something other than the card sets the pace.
rates <- vapply(by_cell, function(ps) exp(mean(log(vapply(ps, function(p) p$figures$mean_fps, 0)))), 0)
held <- unlist(lapply(unique(key_of(names(rates), 1:4)), function(k) {
  of <- rates[key_of(names(rates), 1:4) == k]
  stopifnot(max(pixels) / min(pixels) >= 1.5)
  if (length(of) == 2 && max(of) / min(of) <= 1.03) names(of)
}))

# Cells of a card and mode that have the base's beside them, in the plan's order, those that do not run among them.
membersOf <- function(mode, base, size, variants) {
  keys <- c(names(by_cell), fails)
  keys <- keys[key_of(keys, 1:2) == mode & key_of(keys, 5) %in% size & key_of(keys, 4) %in% variants]
  keys <- keys[paste(base, key_of(keys, 3:5)) %in% c(names(by_cell), fails)]
  keys[order(match(key_of(keys, 3), games), key_of(keys, 4), key_of(keys, 5))]
}

summaries <- function(metric, cells, rows, u) {
  at <- vapply(pairs, function(p) paste(p, collapse = " against "), "")
  for (size in names(pixels)) for (group in names(groups)) for (mode in setdiff(unique(key_of(names(by_cell), 1:2)), baseline)) {
    members <- membersOf(mode, baseline, size, groups[[group]])
    if (length(members) == 0) next
    base <- paste(baseline, key_of(members, 3:5))
    row <- match(paste(members, base, sep = " against "), at)
    enters <- !(members %in% c(held, fails) | base %in% c(held, fails)) & !is.na(row)
    enters[enters] <- !vapply(rows[row[enters]], function(r) grepl("thin", r$flags), NA)
    put("summaries", paste(group, size, mode, "against", baseline, metric, sep = " "),
        summaryRow(metric, cells[members[enters]], cells[base[enters]], key_of(members[enters], 3), rows[row[enters]], sum(!enters), u))
  }
}

# Value for money, over the cells that the headlines are over: at each resolution and over both.
value <- function(cells, u) {
  for (kind in names(prices)) for (size in c(names(pixels), "all")) for (mode in unique(key_of(names(by_cell), 1:2))) {
    members <- membersOf(mode, baseline, if (size == "all") names(pixels) else size, groups$all)
    base <- paste(baseline, key_of(members, 3:5))
    enters <- !(members %in% c(held, fails) | base %in% c(held, fails))
    price <- prices[[kind]][[key_of(mode, 1)]]
    base_price <- prices[[kind]][[key_of(baseline, 1)]]
    of <- cells[members[enters]]
    on <- key_of(members[enters], 3)
    rows <- worthRow(of, NULL, on, price, NA, u)
    if (mode != baseline) rows <- c(rows, worthRow(of, cells[base[enters]], on, price, base_price, u))
    for (name in names(rows)) put("value", paste(kind, size, mode, name), c(rows[[name]], left_out = sum(!enters)))
  }
}

# The figures of the claims in one metric.
claimsIn <- function(metric, cells, u) {
  of <- Filter(function(c) c$metric == metric, claims)
  lapply(of, function(claim) {
    base <- if (is.null(claim$against)) claim$of else claim$against
    sizes <- if (is.null(claim$sizes)) names(pixels) else claim$sizes
    members <- membersOf(claim$of, base, sizes, groups$all)
    if (!is.null(claim$games)) members <- members[key_of(members, 3:4) %in% claim$games]
    stopifnot(!(members %in% fails))
    claimFigures(claim, cells[members], if (!is.null(claim$against)) cells[paste(base, key_of(members, 3:5))], key_of(members, 3), u)
  })
}

found <- list()
for (metric in names(metrics)) {
  cells <- lapply(by_cell, function(ps) cellOf(metric, ps))
  for (i in names(cells)) cells[[i]]$card_mode <- key_of(i, 1:2)
  u <- NULL
  if (metrics[[metric]] != "count") {
    u <- sessionSpread(metric, cells, function(c) c$card_mode, planned)
    cells <- borrow(cells)
  }
  for (i in names(cells)) put("cells", paste(i, metric), cellRow(cells[[i]]))
  rows <- lapply(pairs, function(p) comparisonRow(cells[[p[1]]], cells[[p[2]]], u))
  judged <- !vapply(rows, function(r) is.na(r$verdict), NA)
  family <- which(judged & vapply(pairs, function(p) key_of(p[2], 1:2) == baseline, NA))
  for (i in which(judged)) rows[[i]]$firm <- 0
  for (i in family[firmOf(rows[family])]) rows[[i]]$firm <- 1
  for (i in seq_along(pairs)) {
    key <- paste(pairs[[i]][1], "against", key_of(pairs[[i]][2], 1:2), metric)
    put("comparisons", key, rows[[i]])
    if (metrics[[metric]] != "count") put("welch", key, welchRow(cells[[pairs[[i]][1]]], cells[[pairs[[i]][2]]]))
  }
  if (metrics[[metric]] != "count") {
    summaries(metric, cells, rows, u)
    if (metric == "mean_fps") value(cells, u)
    found <- c(found, claimsIn(metric, cells, u))
  }
}
found <- judgeClaims(found[names(claims)])
for (name in names(found)) put("claims", name, found[[name]])
