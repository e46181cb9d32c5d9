# Reference values for within-cluster (absorbed) weighted least squares, from
# open data sets that ship with R and its packages. Run in this folder:
#
#	Rscript absorbed.R > absorbed.json
#
# On Debian 12: apt-get install r-cran-clubsandwich r-cran-plm r-cran-lme4
# r-cran-geepack (nlme and MASS come with r-base). The Go tests read the
# file and need no R.
#
# "rows" is clubSandwich on lm of rows times the root of their weight, group
# dummies spelt out; "identity" is its default for a weighted lm with dummies;
# "plm" is plm's within estimator with clubSandwich's default.

suppressMessages({
  library(nlme); library(lme4); library(clubSandwich); library(plm); library(MASS); library(geepack)
})

num <- function(x) ifelse(is.na(x) | is.infinite(x), "null", formatC(x, digits = 15, width = 1, format = "g"))
js <- function(x) {
  if (is.null(x)) return("null")
  if (is.list(x)) return(paste0("{", paste0('"', names(x), '":', vapply(x, js, ""), collapse = ",\n"), "}"))
  if (is.character(x)) {
    s <- paste0('"', gsub('"', '\\\\"', x), '"')
    return(if (length(s) == 1 && is.null(attr(x, "array"))) s else paste0("[", paste(s, collapse = ","), "]"))
  }
  paste0("[", paste(num(as.numeric(x)), collapse = ","), "]")
}
strings <- function(x) structure(as.character(x), array = TRUE)
ids <- function(f) as.integer(factor(as.character(f), levels = unique(as.character(f))))
cases <- list()

robust <- function(model, cluster, keep, joint) {
  v <- vcovCR(model, cluster = cluster, type = "CR2")
  ct <- as.data.frame(coef_test(model, vcov = v, test = "Satterthwaite"))[keep, ]
  out <- list(se = ct$SE, df = if (!is.null(ct$df_Satt)) ct$df_Satt else ct$df, p = if (!is.null(ct$p_Satt)) ct$p_Satt else ct$p_val)
  if (joint) {
    w <- Wald_test(model, constraints = constrain_zero(keep), vcov = v, test = "HTZ")
    out$joint <- c(w$Fstat, w$df_denom, w$p_val)
  }
  out
}

add <- function(id, source, formula, data, group, cluster = group, weights = NULL, within = NULL) {
  w <- if (is.null(weights)) rep(1, nrow(data)) else weights
  X <- model.matrix(formula, data)[, -1, drop = FALSE]
  y <- model.response(model.frame(formula, data))
  g <- ids(group); cl <- ids(cluster)
  D <- if (length(unique(g)) > 1) model.matrix(~ 0 + factor(g)) else matrix(1, nrow(data), 1)
  k <- ncol(X)
  r <- sqrt(w)
  rX <- r * X; rD <- r * D; ry <- r * y
  rows <- lm(ry ~ 0 + rX + rD)
  stopifnot(!anyNA(coef(rows)))
  joint <- k > 1
  out <- list(source = source, call = paste(deparse(formula), collapse = ""), names = strings(colnames(X)), x = as.vector(t(X)), y = y,
    weights = weights, group = g, cluster = cl, coef = coef(rows)[1:k], sigma = summary(rows)$sigma,
    rows = robust(rows, cl, 1:k, joint))
  wide <- lm(y ~ 0 + X + D, weights = w)
  out$identity <- robust(wide, cl, 1:k, joint)
  # leaving each cluster out, by refitting
  out$without <- as.vector(sapply(sort(unique(cl)), function(one) {
    keep <- cl != one
    f <- lm(ry[keep] ~ 0 + rX[keep, , drop = FALSE] + rD[keep, colSums(D[keep, , drop = FALSE]) > 0, drop = FALSE])
    coef(f)[1:k]
  }))
  if (!is.null(within)) {
    plmData <<- data # clubSandwich looks the data up by name
    p <- eval(bquote(plm(.(formula), data = plmData, index = .(within), model = "within")))
    v <- vcovCR(p, type = "CR2")
    ct <- as.data.frame(coef_test(p, vcov = v, test = "Satterthwaite"))
    out$plm <- list(coef = coef(p), se = ct$SE, df = if (!is.null(ct$df_Satt)) ct$df_Satt else ct$df)
  }
  cases[[id]] <<- out
}

ortho <- as.data.frame(Orthodont); ortho$Subject <- as.character(ortho$Subject)
ortho$late <- as.numeric(ortho$age >= 12); ortho$visit <- ave(ortho$age, ortho$Subject, FUN = seq_along)
add("orthodont", "nlme::Orthodont", distance ~ age + late, ortho, ortho$Subject, within = c("Subject", "visit"))
add("orthodont-weighted", "nlme::Orthodont, invented weights", distance ~ age + late, ortho, ortho$Subject, weights = 1 + (seq_len(nrow(ortho)) * 7) %% 5)
lost <- unlist(lapply(seq_along(unique(ortho$Subject)), function(i)
  which(ortho$Subject == unique(ortho$Subject)[i])[seq_len(i %% 4)]))
o66 <- ortho[-lost, ]
add("orthodont-unbalanced", "nlme::Orthodont, rows left out, invented weights", distance ~ age + late, o66, o66$Subject, weights = exp(((seq_len(nrow(o66)) * 5) %% 7) / 3))
m <- subset(MortalityRates, cause == "Motor Vehicle" & year <= 1983)
m <- m[complete.cases(m[, c("mrate", "legal", "beertaxa")]), ]
m <- m[m$year >= 1979, ]
add("mortality", "clubSandwich::MortalityRates, motor vehicle, 1979-1983", mrate ~ legal + beertaxa, m, m$state, within = c("state", "year"))
add("mortality-weighted", "clubSandwich::MortalityRates, motor vehicle, 1979-1983, weight = population", mrate ~ legal + beertaxa, m, m$state, weights = m$pop / 1e5)
pigs <- dietox[complete.cases(dietox), ]; pigs <- head(pigs, 240)
add("dietox-nested", "geepack::dietox, pigs absorbed, litters as clusters, invented weights", Weight ~ Time + I(Time^2) + Feed, pigs, pigs$Pig, cluster = pigs$Litter,
  weights = 1 + (seq_len(nrow(pigs)) %% 3))
sl <- sleepstudy[-c(3, 17, 18, 40, 41, 42, 43, 44, 45, 46, 47, 48, 90, 100, 101, 102, 103, 140), ]
add("sleep-weighted", "lme4::sleepstudy, rows left out, invented weights", Reaction ~ Days, sl, sl$Subject, weights = 0.2 + (seq_len(nrow(sl)) * 11) %% 9)
add("petrol", "MASS::petrol, crude oils", Y ~ EP, petrol, petrol$No)
add("petrol-weighted", "MASS::petrol, weight = volatility", Y ~ EP, petrol, petrol$No, weights = petrol$V10 / 100 + petrol$EP / 200)
oat <- as.data.frame(nlme::Oats); oat$new <- as.numeric(oat$Variety == "Victory"); oat$Variety <- as.character(oat$Variety)
oat <- oat[-c(1, 6, 7, 20, 33, 34, 35, 60), ]
add("oats-nested", "nlme::Oats, plots of a block absorbed, blocks as clusters, rows left out, invented weights", yield ~ nitro + I(nitro^2), oat, paste(oat$Block, oat$Variety), cluster = oat$Block,
  weights = 1 + (seq_len(nrow(oat)) * 3) %% 4)
ma <- as.data.frame(nlme::Machines); ma$Machine <- factor(as.character(ma$Machine)); ma <- ma[-c(2, 11, 12, 13, 30, 31, 47), ]
add("machines-weighted", "nlme::Machines, rows left out, invented weights", score ~ Machine, ma, as.character(ma$Worker), weights = 1 + (seq_len(nrow(ma)) * 5) %% 6)
px <- as.data.frame(nlme::Pixel)
add("pixel-nested", "nlme::Pixel, sides of a dog absorbed, dogs as clusters", pixel ~ day + I(day^2), px, paste(px$Dog, px$Side), cluster = px$Dog)
data(Grunfeld, package = "plm")
add("grunfeld", "plm::Grunfeld", inv ~ value + capital, Grunfeld, Grunfeld$firm, within = c("firm", "year"))
data(EmplUK, package = "plm")
uk <- EmplUK[EmplUK$firm <= 45, ]
add("emplUK", "plm::EmplUK, the first 45 firms", emp ~ wage + capital, uk, uk$firm, within = c("firm", "year"))
add("emplUK-weighted", "plm::EmplUK, the first 45 firms, weight = output", emp ~ wage + capital, uk, uk$firm, weights = uk$output / 100)

versions <- sapply(c("clubSandwich", "plm", "nlme", "lme4", "geepack", "MASS"), function(p) as.character(packageVersion(p)))
cat(js(list(R = R.version.string, packages = paste(names(versions), versions, collapse = ", "), cases = cases)), "\n", sep = "")
