# Works out the demo review again, from its raw captures and its bench log, by the definitions and with nothing of rigslate:
#
#   Rscript demo.R FOLDER [passes]
#
# FOLDER is the demo with its .zst captures unpacked; the log may have some of its cells only. "passes" stops before cells. One line a figure: table, key, column, value; "NA" where there is none.
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
for (part in c("passes.R", "siblings.R", "cells.R", "controls.R")) source(file.path(here, part))
folder <- commandArgs(trailingOnly = TRUE)[1]

# What the plan says, said again.
warmup <- 3e9
kept <- 30e9
display_hz <- 144
max_spread <- 0.03
baseline <- "tern_ref stock"
claimed <- list(c("heron_x tuned", "heron_x stock"))
control <- "tern_ref stock fjord plain qhd"
expected_spread <- log(1.005) # the plan states none, so the default
planned <- function(metric) if (metrics[[metric]] == "ratio") log(1.002) else 0.002

put <- function(table, key, row) {
  text <- vapply(row, function(v) if (is.na(v)) "NA" else if (is.character(v)) v else sprintf("%.17g", v), "")
  writeLines(paste(table, key, names(row), text, sep = "\t"))
}

log <- read.csv(file.path(folder, "bench.csv"), colClasses = "character")
log <- log[log$outcome == "ok", ]
stopifnot(nrow(log) > 0)
passes <- lapply(split(log, seq_len(nrow(log))), function(l) {
  path <- file.path(folder, sub("\\.zst$", "", l$file))
  pass <- keptOf(readCapture(path, l$game), warmup, kept)
  pass$cell <- paste(l$card, l$mode, l$game, l$variant, l$resolution)
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
               unlist(lapply(claimed, function(c) if (c[1] == key_of(cell, 1:2)) c[2])))
  for (mode in unique(against)) {
    base <- paste(mode, key_of(cell, 3:5))
    if (base %in% names(by_cell)) pairs <- c(pairs, list(c(cell, base)))
  }
}

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
}
