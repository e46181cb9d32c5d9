# Reference values for the comparison between patients: start month as a restricted
# cubic spline, and overlap weighting. Run in this folder: Rscript between.R (R 4.2.2,
# clubSandwich 0.5.8, splines). The table between.csv is invented: it is drawn here.
suppressMessages({library(clubSandwich); library(splines)})
options(digits = 15)
set.seed(20261127)
cases <- 72
d <- do.call(rbind, lapply(seq_len(cases), function(i) {
  start <- sample(0:35, 1); k <- sample(3, 1); n <- sample(4:7, 1)
  tooth <- sample(c(11:17, 21:27, 31:37, 41:47), n)
  clin <- as.integer(runif(n) < plogis(-1 + start / 20 + .5 * (k == 2)))
  planned <- round(exp(rnorm(n, 2.2 + .2 * clin, .4)), 1)
  e <- .5 + .01 * start - .0002 * start^2 + .05 * (k == 3) + .08 * clin + rnorm(1, 0, .1) + rnorm(n, 0, .2)
  data.frame(case = i, start = start, clinician = paste0("K", k), tooth = tooth, planned = planned, achieved = round(planned * e, 1), clin = clin)
}))
write.csv(d, "between.csv", row.names = FALSE, quote = FALSE)
pos <- d$tooth %% 10
d$class <- factor(cut(pos, c(0, 2, 3, 5, 8), labels = FALSE)); d$upper <- d$tooth < 30; d$distal <- pos %in% c(2, 5, 7, 8)
d$y <- d$achieved / d$planned
k <- quantile(d$start[!duplicated(d$case)], c(.05, .35, .65, .95))
bend <- function(x) ns(x, knots = k[2:3], Boundary.knots = k[c(1, 4)])
show <- function(name, f, w) {
  X <- model.matrix(f) * sqrt(w); y <- d$y * sqrt(w)
  r <- conf_int(lm(y ~ 0 + X), vcov = "CR2", cluster = d$case, test = "Satterthwaite", coefs = "Xclin")
  cat(sprintf("%s\t%.12f\t%.12f\t%.9f\t%.12f\t%.12f\n", name, r$beta, r$SE, r$df, r$CI_L, r$CI_U))
}
show("model", lm(y ~ planned + I(planned^2) + bend(start) + clinician + class + upper + distal + clin, d, weights = planned), d$planned)
g <- suppressWarnings(glm(clin ~ planned + I(planned^2) + bend(start) + clinician + class + upper + distal, quasibinomial, d, weights = planned, control = list(epsilon = 1e-14, maxit = 50)))
e <- fitted(g); w <- d$planned * ifelse(d$clin == 1, 1 - e, e)
show("weighted", lm(y ~ clin, d, weights = w), w)
m <- function(x, t) sum((w * x)[d$clin == t]) / sum(w[d$clin == t])
smd <- function(x) (m(x, 1) - m(x, 0)) / sqrt((var(x[d$clin == 1]) + var(x[d$clin == 0])) / 2)
cat(sprintf("balance after: planned %.3g, first quarter %.12f\n", smd(d$planned), { x <- as.numeric(d$start < 3); p <- tapply(x, d$clin, mean); (m(x, 1) - m(x, 0)) / sqrt(sum(p * (1 - p)) / 2) }))
