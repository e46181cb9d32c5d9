# Reference values for the tests of the analyses beyond the grid. Run in this
# folder: Rscript questions.R. The tables are invented (taken from the invented
# practice); DriversKilled is R's data set Seatbelts (Harvey & Durbin 1986,
# J R Stat Soc A 149:187-227).
suppressMessages(library(clubSandwich))
options(digits = 15)
cat(R.version.string, "clubSandwich", as.character(packageVersion("clubSandwich")), "\n")
show <- function(f, id) print(as.data.frame(conf_int(f, vcov = "CR2", cluster = id, test = "Satterthwaite"))[, c("beta", "SE", "df", "CI_L", "CI_U")])

cat("== change within the tooth: stacked pairs, weights = planned\n")
d <- read.csv("pairs.csv")
k <- d[d$switched == 0, ]
s <- data.frame(case = rep(k$case, each = 2), next_ = rep(0:1, nrow(k)),
                p = as.vector(rbind(k$planned1, k$planned2)), a = as.vector(rbind(k$achieved1, k$achieved2)))
f <- lm(I(a / p) ~ next_, s, weights = p)
show(f, s$case)
f2 <- lm(I(a / p) ~ 0 + factor(next_), s, weights = p)
show(f2, s$case)

cat("== switched against kept, adjusted for the course before\n")
d$e1 <- d$achieved1 / d$planned1
f <- lm(I(achieved2 / planned2) ~ switched, d, weights = planned2); show(f, d$case)
f <- lm(I(achieved2 / planned2) ~ switched + e1 + planned2, d, weights = planned2); show(f, d$case)

cat("== segmented regression, slopes per quarter: Seatbelts, law of February 1983\n")
y <- as.numeric(Seatbelts[, "DriversKilled"]); n <- length(y)
month <- 1969 * 12 + 0:(n - 1); law <- 1983 * 12 + 1
t <- (month - law) / 3; after <- as.numeric(month >= law)
f <- lm(y ~ t + after + t:after); show(f, seq_len(n))
f <- lm(y ~ after); show(f, seq_len(n))

cat("== features lost: Poisson with exposure\n")
l <- read.csv("features.csv"); l$class <- factor(l$class, c("incisor", "canine", "premolar", "molar"))
f <- glm(lost ~ 1 + offset(log(months)), poisson, l); show(f, l$case)
f <- glm(lost ~ clinician + class + offset(log(months)), poisson, l); show(f, l$case)

cat("== expected change by regression to the mean\n")
e <- d$achieved1 / d$planned1; w <- d$planned1; sd <- 1.1
m <- sum(w * e) / sum(w); v <- sum(w * e^2) / sum(w) - m^2; ve <- sd^2 * sum(1 / w) / sum(w)
q <- d[d$switched == 1, ]; sel <- sum(q$achieved1) / sum(q$planned1)
print(c(m, sel, sqrt(v - ve), sqrt(ve), 1 - ve / v,
        ve / v * (m - sel) * (1 + sum(q$planned1) / sum(q$planned2) / 2), (m - sel) * (1 + sum(q$planned1) / sum(q$planned2) / 2)))

cat("== the same with the square root taken on weighted rows, as McCaffrey & Bell (2006) do\n")
root <- function(f, id, C) {
  mu <- fitted(f); X <- model.matrix(f) * sqrt(mu); e <- (f$y - mu) / sqrt(mu); M <- solve(crossprod(X)); V <- 0; D <- NULL
  H <- X %*% M %*% t(X)
  for (g in unique(id)) { i <- which(id == g); E <- eigen(diag(length(i)) - H[i, i]); A <- E$vectors %*% diag(1 / sqrt(E$values), length(i)) %*% t(E$vectors)
    u <- M %*% t(X[i, , drop = FALSE]) %*% A; V <- V + tcrossprod(u %*% e[i]); D <- cbind(D, (diag(nrow(X)) - H)[, i] %*% t(u) %*% C) }
  G <- crossprod(D); se <- sqrt(c(t(C) %*% V %*% C)); df <- sum(diag(G))^2 / sum(G^2); b <- sum(C * coef(f))
  c(b, se, df, b - qt(.975, df) * se, b + qt(.975, df) * se)
}
f <- glm(lost ~ 1 + offset(log(months)), poisson, l); print(root(f, l$case, 1))
f <- glm(lost ~ clinician + class + offset(log(months)), poisson, l); print(root(f, l$case, c(0, 1, 0, 0, 0)))

cat("== matched strata: tooth class, doublings of 2 degrees, wear\n")
d <- read.csv("strata.csv"); pos <- d$tooth %% 10
class <- cut(pos, c(0, 2, 3, 5, 8)); size <- floor(log2(d$planned / 2))
d$stratum <- factor(paste(class, size, d$wear))
n <- table(d$stratum, d$clinician); both <- rownames(n)[n[, 1] > 0 & n[, 2] > 0]
m <- droplevels(d[d$stratum %in% both, ])
cat(nlevels(d$stratum), "strata,", length(both), "with both,", nrow(m), "movements inside,", length(unique(m$case)), "cases\n")
f <- lm(I(achieved / planned) ~ clinician + stratum, m, weights = planned)
print(as.data.frame(conf_int(f, vcov = "CR2", cluster = m$case, test = "Satterthwaite"))["clinician", c("beta", "SE", "df", "CI_L", "CI_U")])

cat("== planned against achieved: quarters of the plans of an axis, quartiles of achieved by style\n")
d <- read.csv("../../sampledata/practice.csv", skip = 1, check.names = FALSE)
d$achieved <- suppressWarnings(as.numeric(d$achieved)) # "not measured" becomes NA
for (a in c("rotation", "vertical")) {
  m <- d[d$course == 1 & d$axis == a & !is.na(d$achieved), ]
  p <- abs(m$planned); g <- sign(m$planned) * m$achieved # along the plan
  keep <- p >= ifelse(a == "rotation", 2, 0.2)
  m <- m[keep, ]; p <- p[keep]; g <- g[keep]
  cut <- round(quantile(p, c(.25, .5, .75), type = 7), ifelse(a == "rotation", 0, 1))
  bin <- findInterval(p, cut)
  for (s in unique(m$style)) for (k in 0:3) {
    x <- m$style == s & bin == k
    cat(a, s, k, cut, length(unique(m$case[x])), sum(x), median(p[x]), quantile(g[x], c(.25, .5, .75)), "\n")
  }
}

cat("== planned again in the same mouths: the invented practice, every movement of one weight\n")
d <- read.csv("../../sampledata/practice.csv", skip = 1, check.names = FALSE)
d$m <- abs(d$planned) / ifelse(d$unit == "mm", .2, 2) # in multiples of the smallest that counts
key <- function(d, course) paste(d$case, course, d$tooth, d$axis, sign(d$planned))
x <- d[d$course == 1 & d$m >= 1 & d$status == "completed" & d$style %in% c("clinician-designed", "software-suggested") & d$`course aligners used` / d$`course aligners planned` >= .9, ]
x$again <- as.numeric(key(x, 2) %in% key(d, d$course)[d$m >= 1])
x$x <- as.numeric(x$style == "clinician-designed"); x$q <- x$tooth %/% 10
f <- lm(again ~ m + I(m^2) + factor(paste(axis, planned > 0)) + factor(paste(q < 3, tooth %% 10)) + I(q %in% 2:3) + staging + factor(case) + x, x)
print(as.data.frame(conf_int(f, vcov = "CR2", cluster = x$case, test = "Satterthwaite", coefs = "x"))[, c("beta", "SE", "df", "CI_L", "CI_U")])
