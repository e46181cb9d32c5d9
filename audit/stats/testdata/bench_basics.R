# The same computations as the Go benchmarks, timed in R on the same machine:
#
#	Rscript bench_basics.R
#	go test -run '^$' -bench 'Ratio100k|Proportion100k|Bootstrap2000' ./audit/stats/...
#
# 100,000 movements in 2,500 cases of 40; numbers are seconds a call, least of
# five processor times (the machine may be busy). Compare ratios, not times.
suppressMessages({library(survey); library(boot); library(clubSandwich)})
set.seed(1)
m <- 2500; k <- 40; g <- rep(seq_len(m), each = k)
den <- exp(.5 * rnorm(m * k)); num <- den * (.6 + .2 * rep(rnorm(m), each = k) + .3 * rnorm(m * k))
time <- function(f) min(replicate(5, sum(system.time(f())[c("user.self", "sys.self")])))
d <- data.frame(num, den, g, one = 1)
a <- time(function() { s <- svydesign(~g, weights = ~one, data = d); r <- svyratio(~num, ~den, s); confint(r, df = degf(s)) })
h <- time(function() { # by hand, the least R can do
  n <- rowsum(cbind(num, den), g); R <- sum(n[, 1]) / sum(n[, 2]); sqrt(m / (m - 1) * sum((n[, 1] - R * n[, 2])^2)) / sum(n[, 2]) })
b <- time(function() { n <- rowsum(cbind(num, den), g); boot(n, function(x, i) sum(x[i, 1]) / sum(x[i, 2]), R = 2000) })
p <- time(function() svymean(~x, svydesign(~g, weights = ~one, data = data.frame(x = as.numeric(num > .5 * den), g, one = 1))))
cat(sprintf("survey::svyratio %.4f s; rowsum by hand %.4f s; boot 2,000 replicates %.4f s; survey::svymean %.4f s\n", a, h, b, p))
