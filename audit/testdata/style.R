# Reference values of TestStyleDifferenceAgainstR and TestToyAgainstR.
# Rscript style.R, R 4.2.2, clubSandwich 0.5.8. The data are invented here.
suppressMessages(library(clubSandwich))
options(digits = 12)
# The working model of the audit is a variance of A/P proportional to 1/P:
# ordinary least squares on rows multiplied by the root of the weight.
show <- function(f, cluster) {
  w <- if (is.null(weights(f))) rep(1, length(cluster)) else weights(f)
  X <- model.matrix(f) * sqrt(w); y <- model.response(model.frame(f)) * sqrt(w)
  g <- lm(y ~ 0 + X)
  print(as.data.frame(coef_test(g, vcov = "CR2", cluster = cluster, test = "Satterthwaite")))
  print(as.data.frame(conf_int(g, vcov = "CR2", cluster = cluster, test = "Satterthwaite")))
}
pt <- c(1,1,1,2,2,3,3,3,3,4,4); P <- c(2,3,1.5,4,2,1,2.5,3,2,5,1); A <- c(1.2,1.5,1,2.8,1.6,.3,1,1.6,.9,4,.9)
show(lm(I(A/P) ~ 1, weights = P), pt)
show(lm(I(A - P) ~ 1), pt)

set.seed(20261125)
n <- 30
case <- data.frame(case = sprintf("c%02d", 1:n), wear = sample(c("good", "fair", "poor"), n, TRUE, c(.5, .3, .2)),
                   age = sample(2:6, n, TRUE), u = rnorm(n, 0, .1))
d <- case[rep(1:n, sample(2:5, n, TRUE)), ]
d$tooth <- unlist(lapply(table(d$case), function(k) sample(c(14, 15, 24, 25, 34, 35, 44, 45), k)))
d$planned <- round(rlnorm(nrow(d), log(12), .4), 1)
d$clin <- rbinom(nrow(d), 1, plogis((14 - d$planned) / 6))
e <- .5 - .1 * d$clin - .008 * (d$planned - 12) + c(good = 0, fair = -.05, poor = -.1)[d$wear] + d$u + rnorm(nrow(d), 0, .12)
d$achieved <- round(d$planned * e, 1)
write.csv(d[, c("case", "wear", "age", "tooth", "planned", "achieved", "clin")], "style.csv", row.names = FALSE, quote = FALSE)
d$y <- d$achieved / d$planned
d$distal <- as.numeric(d$tooth %% 10 == 5); d$upper <- as.numeric(d$tooth < 30)
show(lm(y ~ clin, weights = planned, data = d), d$case)
# between patients: plan and its square, tooth within class, arch, age
d$square <- (d$planned - weighted.mean(d$planned, d$planned))^2
f <- lm(y ~ planned + square + distal + upper + age + clin, weights = planned, data = d)
show(f, d$case)
# same mouth: a level for every case; the choice of variance by root-weighted rows
# and every premolar of a side apart: those of the upper and lower arch, the first and the second
d$left <- d$tooth %/% 10 %in% 2:3
s <- lm(y ~ planned + square + upper * distal + left + clin + factor(case), weights = planned, data = d)
show(s, d$case)
both <- names(which(tapply(d$clin, d$case, function(k) any(k == 1) && any(k == 0))))
inside <- d[d$case %in% both, ]
print(c(both = length(both), movements = nrow(inside), mean_plan = mean(inside$planned), mean = sum(inside$achieved) / sum(inside$planned)))
# adjusted means: predictions for every row with the style set, weighted by planned amount
for (k in 0:1) print(weighted.mean(predict(f, transform(d, clin = k)), d$planned))
print(c(n_s = length(unique(d$case[d$clin == 0])), n_c = length(unique(d$case[d$clin == 1]))))
m1 <- d$planned[d$clin == 1]; m0 <- d$planned[d$clin == 0]
print((mean(m1) - mean(m0)) / sqrt((var(m1) + var(m0)) / 2))

# Pooled expression of each tooth: lme4 1.1-31, REML.
suppressMessages(library(lme4))
m <- lmer(y ~ 1 + (1 | tooth), weights = planned, data = d)
print(coef(m)$tooth); print(VarCorr(m), comp = "Variance")
