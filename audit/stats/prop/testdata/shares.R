# Differences of two shares: limits by Newcombe's method 10 from the Wilson limits of
# prop.test, P by fisher.test. Both are in R's own package stats.
#   Rscript shares.R > shares.json
rows <- list(c(56, 70, 48, 80), c(9, 10, 3, 10), c(6, 7, 2, 7), c(5, 56, 0, 29), c(0, 10, 0, 20),
             c(10, 10, 0, 20), c(0, 12, 5, 40), c(1, 12, 30, 60), c(18, 25, 120, 240), c(3, 11, 3, 11))
wilson <- function(x, n) suppressWarnings(prop.test(x, n, correct = FALSE)$conf.int)
out <- sapply(rows, function(r) {
  p <- c(r[1] / r[2], r[3] / r[4]); a <- wilson(r[1], r[2]); b <- wilson(r[3], r[4]); d <- p[1] - p[2]
  low <- d - sqrt((p[1] - a[1])^2 + (b[2] - p[2])^2); high <- d + sqrt((a[2] - p[1])^2 + (p[2] - b[1])^2)
  f <- fisher.test(matrix(c(r[1], r[2] - r[1], r[3], r[4] - r[3]), 2))$p.value
  sprintf('  [%d, %d, %d, %d, %.15g, %.15g, %.15g]', r[1], r[2], r[3], r[4], low, high, f)
})
cat('{"program": "', R.version.string, '", "rows": [\n', paste(out, collapse = ",\n"), "\n]}\n", sep = "")
