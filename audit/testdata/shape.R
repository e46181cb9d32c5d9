# Reference values for attachment against none, shape against shape and size within
# mouths. Run in this folder: Rscript shape.R (R 4.2.2, clubSandwich 0.5.8). The
# table shape.csv is invented: it is drawn here.
suppressMessages(library(clubSandwich))
options(digits = 15)
set.seed(20261126)
cases <- 24
d <- do.call(rbind, lapply(seq_len(cases), function(i) {
  tooth <- sort(sample(c(11:17, 21:27, 31:37, 41:47), 9))
  none <- runif(9) < .3
  d <- data.frame(case = i, tooth = tooth, planned = round(exp(rnorm(9, 2.2, .4)), 1), style = ifelse(none, "none", ifelse(runif(9) < .45, "clinician-designed", "software-suggested")),
                  shape = ifelse(none, "", ifelse(runif(9) < .6, "block", "oval")), size = ifelse(none, 0, sample(c(2, 2.5, 3, 4), 9, TRUE)))
  e <- .6 + rnorm(1, 0, .1) + .12 * (!none) + .04 * (d$size - 3) * (!none) - .05 * (d$shape == "oval") + rnorm(9, 0, .2)
  d$achieved <- round(d$planned * e, 1)
  d
}))
write.csv(d, "shape.csv", row.names = FALSE, quote = FALSE)
pos <- d$tooth %% 10
d$kind <- factor(paste(d$tooth < 30, pos)) # every tooth of a side, upper and lower apart
d$left <- d$tooth %/% 10 %in% 2:3
d$y <- d$achieved / d$planned
show <- function(name, formula, d) {
  f <- lm(formula, d, weights = planned)
  # clubSandwich's default: the rows as they are have equal variance, whatever the weights
  a <- conf_int(f, vcov = "CR2", cluster = d$case, test = "Satterthwaite", coefs = "x")
  # rows times the root of their weight have equal variance
  X <- model.matrix(f) * sqrt(d$planned); y <- d$y * sqrt(d$planned)
  g <- lm(y ~ 0 + X); b <- conf_int(g, vcov = "CR2", cluster = d$case, test = "Satterthwaite", coefs = "Xx")
  for (r in list(b, a)) cat(sprintf("%s\t%.12f\t%.12f\t%.9f\t%.12f\t%.12f\n", name, r$beta, r$SE, r$df, r$CI_L, r$CI_U))
}
all <- y ~ planned + I(planned^2) + kind + left + factor(case) + x
d$x <- as.numeric(d$style != "none"); show("attachment", all, d)
k <- d[d$style != "none", ]
k$x <- as.numeric(k$shape == "oval"); show("shape", update(all, . ~ style + size + .), k)
k$x <- k$size; show("size", update(all, . ~ style + shape + .), k)
