# Reference values for the ratio, proportion, rank, agreement and
# meta-analysis methods, from open data sets that ship with R and its packages.
# Run in this folder:
#
#	Rscript basics.R > basics.json
#
# On Debian 12: apt-get install r-cran-jsonlite r-cran-psych r-cran-metafor
# r-cran-survey r-cran-clubsandwich r-cran-lme4 r-cran-geepack (nlme, boot and
# MASS come with r-base); the output is then the same to the byte.
#
# The Go tests read basics.json and need no R. Every case holds its data, the
# call that gave the answer, and the answer. Where R has no function for a
# method, the answer is a brute-force listing written here from the definition.

suppressMessages({
  library(jsonlite); library(nlme); library(boot); library(psych); library(metafor)
  library(survey); library(MASS); library(clubSandwich); library(lme4); library(geepack)
})
options(survey.lonely.psu = "fail")
cases <- list()
add <- function(kind, data, call, input, want) {
  cases[[length(cases) + 1]] <<- list(kind = kind, data = data, call = call, input = input, want = want)
}
id <- function(x) as.integer(factor(as.character(x), levels = unique(as.character(x))))

# --- clustered ratio of sums and mean -----------------------------------------
ratio <- function(data, num, den, cluster) {
  d <- data.frame(num = num, den = den, g = id(cluster))
  s <- svydesign(~g, weights = ~1, data = transform(d, one = 1))
  r <- svyratio(~num, ~den, s)
  ci <- confint(r, df = degf(s))
  j <- svyratio(~num, ~den, as.svrepdesign(s, type = "JK1", mse = FALSE))
  a <- aggregate(cbind(num, den) ~ g, d, sum) # case totals are the rows of the model
  m <- lm(num ~ 0 + den, a, weights = 1 / den)
  v <- vcovCR(m, cluster = a$g, type = "CR2", target = a$den)
  t <- coef_test(m, v, test = "Satterthwaite")
  add("ratio", data, "svyratio(~num, ~den, svydesign(~g)); as.svrepdesign(type = 'JK1'); vcovCR(lm(num ~ 0 + den, case totals, weights = 1/den), target = den, type = 'CR2')",
      list(num = num, den = den, cluster = d$g),
      list(ratio = coef(r)[[1]], se = SE(r)[[1]], low = ci[1], high = ci[2], jack = SE(j)[[1]], cr2 = t$SE, df = t$df_Satt))
}
Od <- as.data.frame(Orthodont)
ratio("nlme::Orthodont", Od$distance, Od$age, Od$Subject)
part <- Od[!(Od$age == 8 & as.integer(factor(Od$Subject)) %% 2 == 0), ]
part <- part[!(part$age > 10 & as.integer(factor(part$Subject)) %% 5 == 0), ]
ratio("nlme::Orthodont, visits dropped", part$distance, part$age, part$Subject)
Rp <- as.data.frame(RatPupWeight)
ratio("nlme::RatPupWeight", Rp$weight, Rp$Lsize, Rp$Litter)
data(api)
a1 <- apiclus1[!is.na(apiclus1$enroll), ]
ratio("survey::apiclus1", a1$api.stu, a1$enroll, a1$dnum)
a2 <- apiclus2[!is.na(apiclus2$enroll), ]
ratio("survey::apiclus2", a2$api.stu, a2$enroll, a2$dnum)
B <- as.data.frame(bdf)[1:600, ]
ratio("nlme::bdf, first 600", B$langPOST, B$IQ.verb, B$schoolNR)
ratio("boot::bigcity", bigcity$x, bigcity$u, seq_len(nrow(bigcity)))

meanCR2 <- function(data, x, cluster) {
  m <- lm(x ~ 1)
  t <- coef_test(m, vcovCR(m, cluster = id(cluster), type = "CR2"), test = "Satterthwaite")
  ci <- conf_int(m, vcov = vcovCR(m, cluster = id(cluster), type = "CR2"), test = "Satterthwaite")
  add("mean", data, "coef_test(lm(x ~ 1), vcov = 'CR2', test = 'Satterthwaite')",
      list(x = x, cluster = id(cluster)), list(mean = coef(m)[[1]], se = t$SE, df = t$df_Satt, low = ci$CI_L, high = ci$CI_U))
}
meanCR2("nlme::RatPupWeight", Rp$weight, Rp$Litter)
meanCR2("nlme::bdf, first 600", B$langPOST, B$schoolNR)
meanCR2("MASS::epil, seizures of trial arms", as.numeric(epil$y), epil$subject)
meanCR2("lme4::sleepstudy, days 0 to i", with(subset(sleepstudy, Days <= as.integer(Subject) %% 10), Reaction),
        with(subset(sleepstudy, Days <= as.integer(Subject) %% 10), Subject))

# --- clustered proportions -------------------------------------------------------
prop <- function(data, x, cluster) {
  d <- data.frame(x = as.numeric(x), g = id(cluster))
  s <- svymean(~x, svydesign(~g, weights = ~1, data = transform(d, one = 1)))
  p <- mean(d$x)
  v <- vcovCR(lm(x ~ 1, d), cluster = d$g, type = "CR2")
  add("proportion", data, "svymean(~x, svydesign(~g)); deff = SE^2 n/(p(1-p)); vcovCR(lm(x ~ 1), type = 'CR2')",
      list(x = d$x, cluster = d$g), list(p = p, deff = SE(s)[[1]]^2 * nrow(d) / (p * (1 - p)), cr2 = sqrt(v[1])))
}
prop("MASS::bacteria", bacteria$y == "y", bacteria$ID)
data(ohio, package = "geepack"); data(respiratory, package = "geepack")
o5 <- ohio[ohio$id %% 5 == 0, ]
prop("geepack::ohio, every fifth child", o5$resp, o5$id)
prop("geepack::respiratory", respiratory$outcome, paste(respiratory$center, respiratory$id))
cb <- do.call(rbind, lapply(seq_len(nrow(cbpp)), function(i)
  data.frame(x = rep(1:0, c(cbpp$incidence[i], cbpp$size[i] - cbpp$incidence[i])), g = cbpp$herd[i])))
prop("lme4::cbpp", cb$x, cb$g)

single <- function(data, x, n, x2, n2) {
  w <- prop.test(x, n, correct = FALSE)$conf.int; cc <- prop.test(x, n)$conf.int; e <- binom.test(x, n)$conf.int
  w9 <- prop.test(x, n, correct = FALSE, conf.level = .9)$conf.int
  g <- poisson.test(x, conf.level = .9)$conf.int
  add("counts", data, "prop.test(correct = FALSE), prop.test, binom.test, poisson.test(conf.level = .9)", list(x = x, n = n),
      list(wilson = w, wilson90 = w9, continuity = cc, exact = e, garwood90 = g))
}
single("boot::nodal", sum(nodal$r == 1), nrow(nodal))
single("MASS::birthwt, low", sum(birthwt$low), nrow(birthwt))
single("datasets::esoph, youngest controls and cases", sum(esoph$ncases[esoph$agegp == "25-34"]), sum(esoph$ncases[esoph$agegp == "25-34"]) + 115)

# --- ranks ---------------------------------------------------------------------
W <- reshape(Od[, c("distance", "age", "Subject")], idvar = "Subject", timevar = "age", direction = "wide")
clustered <- function(data, d, g) { # Datta & Satten 2008 from the definition, all flips
  g <- id(g); sc <- sapply(unique(g), function(i) {
    x <- d[g == i]; mean(sapply(x, function(v) sign(v) * (1 + sum(sapply(setdiff(unique(g), i), function(k)
      mean(((abs(d[g == k]) < abs(v)) + (abs(d[g == k]) <= abs(v))) / 2))))))
  })
  f <- as.matrix(expand.grid(rep(list(c(-1, 1)), length(sc)))) %*% sc
  add("clusterrank", data, "Datta & Satten 2008 by definition, all sign changes", list(d = d, cluster = g),
      list(t = sum(sc), z = sum(sc) / sqrt(sum(sc^2)), p = mean(abs(f) >= abs(sum(sc)) - 1e-9)))
}
hi <- Rp[Rp$Treatment == "High", ]
clustered("nlme::RatPupWeight, high dose, from 6.05 g", round(hi$weight - 6.05, 6), hi$Litter)
ox <- as.data.frame(Oxboys); ox <- ox[as.integer(as.character(ox$Subject)) <= 12, ]
clustered("nlme::Oxboys, first twelve, from 148.05 cm", round(ox$height - 148.05, 6), ox$Subject)
# --- quantiles, multiplicity, variance -----------------------------------------
oz <- airquality$Ozone[!is.na(airquality$Ozone)]
add("quantile", "datasets::airquality Ozone", "quantile(x, p, type = 7)", list(x = oz, p = c(0, .01, .1, .25, .5, .75, .9, .99, 1)),
    list(q = unname(quantile(oz, c(0, .01, .1, .25, .5, .75, .9, .99, 1)))))
pw <- c(pairwise.t.test(chickwts$weight, chickwts$feed, p.adjust.method = "none")$p.value); pw <- pw[!is.na(pw)]
add("adjust", "datasets::chickwts pairwise", "p.adjust", list(p = pw),
    list(bh = p.adjust(pw, "BH"), holm = p.adjust(pw, "holm"), hochberg = p.adjust(pw, "hochberg"), by = p.adjust(pw, "BY")))
# --- agreement --------------------------------------------------------------------
icc <- function(data, tab, level) {
  r <- ICC(tab, lmer = FALSE, alpha = 1 - level)$results
  add("icc", data, "psych::ICC(tab, lmer = FALSE)", list(table = as.vector(t(as.matrix(tab))), k = ncol(tab), level = level),
      list(icc = r$ICC, low = r$`lower bound`, high = r$`upper bound`, f = r$F, p = r$p))
}
icc("nlme::ergoStool", matrix(as.data.frame(ergoStool)[order(ergoStool$Subject, ergoStool$Type), "effort"], ncol = 4, byrow = TRUE), .95)
icc("nlme::Orthodont, girls", as.matrix(W[17:27, -1]), .9)
icc("datasets::sleep", cbind(sleep$extra[1:10], sleep$extra[11:20]), .95)
icc("nlme::Rail", matrix(as.data.frame(Rail)[order(Rail$Rail), "travel"], ncol = 3, byrow = TRUE), .95)
bland <- function(data, a, b) {
  d <- a - b; n <- length(d); t <- t.test(a, b, paired = TRUE)
  add("agreement", data, "t.test(a, b, paired = TRUE); sd of differences", list(a = a, b = b),
      list(bias = mean(d), low = t$conf.int[1], high = t$conf.int[2], p = t$p.value, dahlberg = sqrt(sum(d^2) / (2 * n)), mom = sd(d) / sqrt(2),
           momlow = sqrt(sd(d)^2 / 2 * (n - 1) / qchisq(.975, n - 1)), momhigh = sqrt(sd(d)^2 / 2 * (n - 1) / qchisq(.025, n - 1)),
           upper = mean(d) + qnorm(.975) * sd(d), uplimit = mean(d) + qnorm(.975) * sd(d) + qt(.975, n - 1) * sqrt(3 / n) * sd(d)))
}
bland("MASS::shoes", shoes$A, shoes$B); bland("MASS::anorexia, CBT", anorexia$Prewt[anorexia$Treat == "CBT"], anorexia$Postwt[anorexia$Treat == "CBT"])

# --- meta-analysis -------------------------------------------------------------------
meta <- function(data, y, v) for (m in c("EE", "DL", "REML", "ML", "PM")) for (hk in c(FALSE, TRUE)) {
  if (m == "EE" && hk) next
  r <- rma(y, v, method = m, test = if (hk) "knha" else "z", control = if (m == "PM") list(tol = 1e-14) else list(threshold = 1e-12, maxiter = 10000))
  q <- if (m == "EE") list(NULL) else list(confint(rma(y, v, method = "DL"), control = list(tol = 1e-12, tau2.max = 1e6))$random[1, 2:3])
  add("meta", data, "metafor::rma(y, v, method, test)", list(y = as.numeric(y), v = as.numeric(v), method = m, hk = as.numeric(hk)),
      list(b = r$b[1], se = r$se, low = r$ci.lb, high = r$ci.ub, p = r$pval, tau2 = r$tau2, q = r$QE, qp = r$QEp, i2 = r$I2, h2 = r$H2,
           tau2low = if (m == "EE") 0 else unname(q[[1]][1]), tau2high = if (m == "EE") 0 else unname(q[[1]][2])))
}
meta("metafor::dat.hackshaw1998", dat.hackshaw1998$yi, dat.hackshaw1998$vi)
meta("metafor::dat.raudenbush1985", dat.raudenbush1985$yi, dat.raudenbush1985$vi)
n <- escalc(measure = "MD", m1i = m1i, sd1i = sd1i, n1i = n1i, m2i = m2i, sd2i = sd2i, n2i = n2i, data = dat.normand1999)
meta("metafor::dat.normand1999", n$yi, n$vi)
meta("metafor::dat.hackshaw1998, first ten near the boundary", dat.hackshaw1998$yi[1:10], dat.hackshaw1998$vi[1:10])

# --- overdispersion -----------------------------------------------------------------
h <- aggregate(cbind(incidence, size) ~ herd, cbpp, sum); th <- sum(h$incidence) / sum(h$size)
y <- h$incidence / h$size; v <- th * (1 - th) / h$size; z <- (y - th) / sqrt(v)
zw <- pmax(quantile(z, .1), pmin(quantile(z, .9), z)); I <- length(y)
add("overdispersion", "lme4::cbpp", "Spiegelhalter 2005 by formula, quantile(type = 7)", list(y = y, v = v, target = th),
    list(phi = mean(zw^2), tau2 = max(0, (sum(zw^2) - (I - 1)) / (sum(1 / v) - sum(1 / v^2) / sum(1 / v))), p = pchisq(sum(zw^2), I - 1, lower.tail = FALSE)))

version <- function(p) as.character(packageVersion(p))
pk <- c("nlme", "boot", "psych", "metafor", "survey", "MASS", "clubSandwich", "lme4", "geepack")
cat(toJSON(list(versions = c(list(R = paste(R.version$major, R.version$minor, sep = ".")), setNames(lapply(pk, version), pk)), cases = cases),
           auto_unbox = TRUE, digits = NA, na = "null", pretty = FALSE), "\n", sep = "")
