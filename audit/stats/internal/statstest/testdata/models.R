# Reference values for the linear, mixed and count models, from open data sets
# that ship with R and its packages. Run in this folder:
#
#	Rscript models.R > models.json
#
# On Debian 12: apt-get install r-cran-lme4 r-cran-clubsandwich
# r-cran-sandwich r-cran-geepack (nlme and MASS come with
# r-base); the output is then the same to the byte.
#
# The Go tests read models.json and need no R. Every case holds the design
# matrix as R builds it, so that both sides fit the same numbers.

suppressMessages({
  library(nlme); library(lme4)
  library(clubSandwich); library(sandwich); library(MASS); library(geepack)
})

# --- a small JSON writer, 15 digits ------------------------------------------
num <- function(x) ifelse(is.na(x) | is.infinite(x), "null", formatC(x, digits = 15, width = 1, format = "g"))
js <- function(x) {
  if (is.null(x)) return("null")
  if (is.list(x)) return(paste0("{", paste0('"', names(x), '":', vapply(x, js, ""), collapse = ",\n"), "}"))
  if (is.logical(x) && length(x) == 1) return(if (x) "true" else "false")
  if (is.character(x)) {
    s <- paste0('"', gsub('"', '\\\\"', x), '"')
    return(if (length(s) == 1 && is.null(attr(x, "array"))) s else paste0("[", paste(s, collapse = ","), "]"))
  }
  paste0("[", paste(num(as.numeric(x)), collapse = ","), "]")
}
strings <- function(x) structure(as.character(x), array = TRUE)
rows <- function(m) as.vector(t(as.matrix(m)))
ids <- function(f) as.integer(factor(as.character(f), levels = unique(as.character(f))))
cases <- list()
add <- function(id, ...) cases[[id]] <<- list(...)

# --- data ----------------------------------------------------------------------
ortho <- as.data.frame(Orthodont)
ortho$Subject <- as.character(ortho$Subject)
lost <- unlist(lapply(seq_along(unique(ortho$Subject)), function(i)
  which(ortho$Subject == unique(ortho$Subject)[i])[seq_len(i %% 4)]))
ortho66 <- ortho[-lost, ]
ortho$w <- 1 + (seq_len(nrow(ortho)) * 7) %% 5
mortality <- subset(MortalityRates, cause == "Motor Vehicle" & year <= 1983)
mortality <- mortality[complete.cases(mortality[, c("mrate", "legal", "beertaxa")]), ]
pigs <- head(dietox[complete.cases(dietox), ], 300)
seat <- data.frame(drivers = as.numeric(Seatbelts[, "drivers"]), kms = as.numeric(Seatbelts[, "kms"]) / 1000,
  time = seq_len(nrow(Seatbelts)), year = as.integer(floor(time(Seatbelts) + 1e-6)), law = as.numeric(Seatbelts[, "law"]))

# --- linear models with cluster-robust variance ----------------------------------
robust <- function(id, source, call, model, cluster, weights = NULL, inverse = FALSE, X = NULL, y = NULL,
                   types = c("CR0", "CR1", "CR2", "CR3")) {
  keep <- !is.na(coef(model))
  out <- list(source = source, call = call, names = strings(names(coef(model))),
    x = rows(if (is.null(X)) model.matrix(model) else X), y = if (is.null(y)) model.response(model.frame(model)) else y,
    cluster = ids(cluster), weights = weights, inverse = inverse, coef = coef(model), modelSE = NA * coef(model))
  out$modelSE[keep] <- sqrt(diag(vcov(model))[keep])
  k <- which(names(coef(model))[keep] != "(Intercept)")
  for (type in types) {
    v <- vcovCR(model, cluster = cluster, type = type)
    ct <- as.data.frame(coef_test(model, vcov = v, test = "Satterthwaite"))
    wide <- function(z) { o <- NA * coef(model); o[keep] <- z; o }
    out[[type]] <- list(se = wide(ct$SE), df = wide(ct$df_Satt), p = wide(ct$p_Satt))
    if (type == "CR2" && length(k) > 1 && length(k) < 6) {
      w <- Wald_test(model, constraints = constrain_zero(k, coefs = coef(model)[keep]), vcov = v, test = "HTZ")
      out$joint <- list(f = w$Fstat, df1 = w$df_num, df2 = w$df_denom, p = w$p_val)
    }
  }
  cases[[paste0("linear/", id)]] <<- out
}
lmr <- function(f, data, ...) lm(f, data = data, ...)
robust("orthodont", "nlme::Orthodont (Potthoff & Roy 1964)", "lm(distance ~ age + Sex)", lmr(distance ~ age + Sex, ortho), ortho$Subject)
robust("orthodont-66", "nlme::Orthodont, first i mod 4 visits of child i left out", "lm(distance ~ age + Sex)", lmr(distance ~ age + Sex, ortho66), ortho66$Subject)
robust("orthodont-mean", "nlme::Orthodont, as above", "lm(distance ~ 1)", lmr(distance ~ 1, ortho66), ortho66$Subject)
robust("orthodont-weighted", "nlme::Orthodont, weights 1 + (7 i mod 5) of row i", "lm(distance ~ age + Sex, weights = w), identity target",
  lm(distance ~ age + Sex, ortho, weights = w), ortho$Subject, weights = ortho$w)
r <- sqrt(ortho$w)
X <- model.matrix(~ age + Sex, ortho)
ortho$yr <- ortho$distance * r; ortho$x1 <- X[, 1] * r; ortho$x2 <- X[, 2] * r; ortho$x3 <- X[, 3] * r
robust("orthodont-inverse", "nlme::Orthodont, weights as inverse variances", "lm on rows times sqrt(w)",
  lm(yr ~ 0 + x1 + x2 + x3, ortho), ortho$Subject, weights = ortho$w, inverse = TRUE, X = X, y = ortho$distance)
robust("chicks", "datasets::ChickWeight", "lm(weight ~ Time + Diet)", lm(weight ~ Time + Diet, ChickWeight), ChickWeight$Chick)
robust("oats", "MASS::oats, 6 clusters", "lm(Y ~ N + V)", lm(Y ~ N + V, MASS::oats), MASS::oats$B)
robust("co2", "datasets::CO2, 12 clusters, covariates of the cluster", "lm(uptake ~ conc + Type * Treatment)", lm(uptake ~ conc + Type * Treatment, as.data.frame(CO2)), as.character(CO2$Plant))
robust("npk", "datasets::npk, rank-deficient, cluster effects", "lm(yield ~ block + N * P * K)", lm(yield ~ block + N * P * K, npk), npk$block, types = c("CR0", "CR1", "CR2")) # R cannot invert I - H for CR3
robust("cars", "datasets::cars, one row a cluster (HC0, HC1 with n/(n-1), HC2, HC3)", "lm(dist ~ speed)", lm(dist ~ speed, cars), seq_len(nrow(cars)))
robust("pigs", "geepack::dietox, first 300 complete rows", "lm(Weight ~ Time + Evit)", lm(Weight ~ Time + Evit, pigs), pigs$Pig)
robust("sleep", "lme4::sleepstudy", "lm(Reaction ~ Days)", lm(Reaction ~ Days, sleepstudy), sleepstudy$Subject)
robust("mortality", "clubSandwich::MortalityRates, motor vehicle", "lm(mrate ~ 0 + legal + beertaxa + factor(state) + factor(year))",
  lm(mrate ~ 0 + legal + beertaxa + factor(state) + factor(year), mortality), mortality$state, types = c("CR0", "CR1", "CR2"))
robust("segmented", "datasets::Seatbelts, months in years, law from February 1983 (month 170)", "lm(drivers ~ I(time-170) + law + I((time-170)*law) + kms)",
  lm(drivers ~ I(time - 170) + law + I((time - 170) * law) + kms, seat), seat$year)

# --- mixed models -----------------------------------------------------------------
control <- lmerControl(optimizer = "nloptwrap", optCtrl = list(ftol_abs = 1e-15, xtol_abs = 1e-13, ftol_rel = 1e-15, xtol_rel = 1e-13, maxeval = 1e6), calc.derivs = TRUE)
mixed <- function(id, source, formula, data, group, reml = TRUE, weights = NULL) {
  data$.w <- if (is.null(weights)) 1 else weights
  m <- lme4::lmer(formula, data, REML = reml, weights = .w, control = control)
  v <- as.data.frame(VarCorr(m))
  cases[[paste0("mixed/", id)]] <<- list(source = source, call = paste(deparse(formula), if (reml) "REML" else "ML"), names = strings(names(fixef(m))),
    x = rows(getME(m, "X")), y = getME(m, "y"), cluster = ids(data[[group]]), weights = weights,
    reml = reml, singular = isSingular(m, tol = 1e-4), coef = fixef(m),
    random = v$vcov[v$grp != "Residual"], residual = sigma(m)^2, logLik = as.numeric(logLik(m)))
}
mixed("orthodont-mean", "nlme::Orthodont", distance ~ I(age - 11) + (1 | Subject), ortho, "Subject")
mixed("orthodont", "nlme::Orthodont", distance ~ age + Sex + (1 | Subject), ortho, "Subject")
mixed("orthodont-product", "nlme::Orthodont", distance ~ age * Sex + (1 | Subject), ortho, "Subject")
mixed("orthodont-product-ml", "nlme::Orthodont", distance ~ age * Sex + (1 | Subject), ortho, "Subject", reml = FALSE)
mixed("orthodont-ml", "nlme::Orthodont", distance ~ age + Sex + (1 | Subject), ortho, "Subject", reml = FALSE)
mixed("orthodont-66", "nlme::Orthodont, unbalanced", distance ~ age + Sex + (1 | Subject), ortho66, "Subject")
mixed("orthodont-66-mean", "nlme::Orthodont, unbalanced", distance ~ 1 + (1 | Subject), ortho66, "Subject")
mixed("orthodont-weighted", "nlme::Orthodont, weighted", distance ~ age + Sex + (1 | Subject), ortho, "Subject", weights = ortho$w)
mixed("sleep", "lme4::sleepstudy", Reaction ~ Days + (1 | Subject), sleepstudy, "Subject")
mixed("sleep-ml", "lme4::sleepstudy", Reaction ~ Days + (1 | Subject), sleepstudy, "Subject", reml = FALSE)
mixed("dyestuff", "lme4::Dyestuff (Davies & Goldsmith 1972)", Yield ~ 1 + (1 | Batch), Dyestuff, "Batch")
mixed("dyestuff-ml", "lme4::Dyestuff", Yield ~ 1 + (1 | Batch), Dyestuff, "Batch", reml = FALSE)
mixed("dyestuff2", "lme4::Dyestuff2 (Box & Tiao 1973), no variance between batches", Yield ~ 1 + (1 | Batch), Dyestuff2, "Batch")
mixed("rail", "nlme::Rail", travel ~ 1 + (1 | Rail), as.data.frame(Rail), "Rail")
mixed("stool", "nlme::ergoStool", effort ~ Type + (1 | Subject), as.data.frame(ergoStool), "Subject")
chicks <- as.data.frame(ChickWeight)
mixed("chicks", "datasets::ChickWeight", weight ~ Time + Diet + (1 | Chick), chicks, "Chick")

# --- counts ---------------------------------------------------------------------------
counts <- function(id, source, formula, data, family, offset = NULL, cluster = NULL, cr2 = TRUE) {
  data$.o <- if (is.null(offset)) 0 else offset
  f <- update(formula, . ~ . + offset(.o))
  tight <- glm.control(epsilon = 1e-14, maxit = 200)
  m <- if (family == "negbin") glm.nb(f, data, control = tight) else glm(f, data, family = poisson, control = tight)
  g <- if (is.null(cluster)) seq_len(nrow(data)) else ids(cluster)
  out <- list(source = source, call = paste(deparse(formula), family), names = strings(names(coef(m))), x = rows(model.matrix(m)),
    y = m$y, offset = offset, cluster = g, family = family, coef = coef(m), se = sqrt(diag(vcov(m))), logLik = as.numeric(logLik(m)),
    deviance = deviance(m), pearson = sum(residuals(m, "pearson")^2) / m$df.residual)
  if (family == "negbin") {
    out$se <- summary(m)$coefficients[, 2]
    out$theta <- m$theta
    out$thetaSE <- m$SE.theta
  }
  out$cr0 <- sqrt(diag(vcovCL(m, cluster = g, type = "HC0", cadjust = FALSE)))
  if (is.null(cluster)) {
    out$cr2 <- sqrt(diag(vcovHC(m, type = "HC2")))
    out$cr3 <- sqrt(diag(vcovHC(m, type = "HC3")))
  } else if (cr2) { # means equal within clusters: all square roots agree
    out$cr2 <- sqrt(diag(as.matrix(vcovCR(m, cluster = g, type = "CR2"))))
    out$cr3 <- sqrt(diag(as.matrix(vcovCR(m, cluster = g, type = "CR3"))))
    ct <- as.data.frame(coef_test(m, vcov = vcovCR(m, cluster = g, type = "CR2"), test = "Satterthwaite"))
    out$cr2df <- ct$df_Satt
  }
  cases[[paste0("count/", id)]] <<- out
  invisible(m)
}
quine <- MASS::quine
counts("quine", "MASS::quine", Days ~ Eth + Sex + Age + Lrn, quine, "negbin")
counts("quine-mean", "MASS::quine", Days ~ 1, quine, "negbin")
counts("quine-nested", "MASS::quine", Days ~ Sex / (Age + Eth * Lrn), quine, "negbin")
counts("quine-poisson", "MASS::quine", Days ~ Eth + Sex + Age + Lrn, quine, "poisson")
yeast <- data.frame(y = rep(0:5, c(213, 128, 37, 18, 3, 1)))
counts("yeast", "MASS, example of theta.ml (Bliss & Fisher 1953)", y ~ 1, yeast, "negbin")
counts("yeast-poisson", "MASS, example of theta.ml", y ~ 1, yeast, "poisson")
counts("epil", "MASS::epil (Thall & Vail 1990), rows taken as independent", y ~ lbase * trt + lage + V4, MASS::epil, "negbin")
counts("epil-clustered", "MASS::epil, by subject", y ~ lbase + trt, MASS::epil, "poisson", cluster = MASS::epil$subject)
counts("epil-clustered-negbin", "MASS::epil, by subject", y ~ lbase * trt + lage + V4, MASS::epil, "negbin", cluster = MASS::epil$subject, cr2 = FALSE)
ins <- as.data.frame(MASS::Insurance)
ins$District <- factor(ins$District)
for (v in c("Group", "Age")) ins[[v]] <- factor(ins[[v]], ordered = FALSE)
counts("insurance", "MASS::Insurance, exposure Holders", Claims ~ District + Group + Age, ins, "poisson", offset = log(ins$Holders))
counts("warpbreaks", "datasets::warpbreaks", breaks ~ wool * tension, warpbreaks, "negbin")

# --- two one-sided tests ------------------------------------------------------------------
d <- with(sleep, extra[group == 2] - extra[group == 1])
tt <- function(mu, alternative) t.test(d, mu = mu, alternative = alternative)$p.value
cases[["equivalence"]] <- list(source = "datasets::sleep (Student 1908), difference of the two drugs, margin 1 to 3",
  call = "t.test(d, mu = 1, alternative = 'greater'), t.test(d, mu = 3, alternative = 'less')",
  value = mean(d), se = sd(d) / sqrt(length(d)), df = length(d) - 1, p = max(tt(1, "greater"), tt(3, "less")),
  limits = t.test(d, conf.level = 0.9)$conf.int)

versions <- sapply(c("nlme", "lme4", "clubSandwich", "sandwich", "MASS", "geepack"), function(p) as.character(packageVersion(p)))
cat(js(list(R = R.version.string, packages = as.list(versions), cases = cases)), "\n")
