# Fits the generator's model to a large invented practice, to see that the
# records really carry the parameters they claim. From sampledata/:
#   go test -run TestRecoveredByR -export /tmp/extrusions.csv .
#   Rscript testdata/recover.R /tmp/extrusions.csv > testdata/recover.csv
# Made with R 4.2.2, lme4 1.1-31.
suppressMessages(library(lme4))
file <- commandArgs(TRUE)[1]
d <- read.csv(file)
P <- d$planned
X <- with(d, data.frame(
  base = P, k1 = P * ((clinician == "K1") - (clinician == "K2")) / 2,
  k34 = P * ((clinician == "K3") - (clinician == "K4")) / 2,
  clinician = P * (style == "clinician-designed"), none = P * (style == "none"),
  slope = P * (P - 1), fair = P * (wear == "fair"), poor = P * (wear == "poor"),
  age = P * age, combined = P * (staging == "combined"), lost = P * (lost == "true")))
# Effects on expression multiply the plan, so the plan multiplies the case
# effect too; weights follow the variance v^2 P^2 + noise^2 of one movement.
w <- 1 / (0.12^2 * P^2 + 0.12^2)
fit <- lmer(d$achieved ~ 0 + as.matrix(X) + (0 + P | case), data = data.frame(P = P, case = d$case), weights = w, REML = TRUE)
est <- summary(fit)$coefficients
rownames(est) <- names(X)
sd_case <- as.data.frame(VarCorr(fit))[1, "sdcor"]
n_case <- length(unique(d$case))
row <- function(name, e, se) cat(sprintf("%s,%.6f,%.6f\n", name, e, se))
cat("parameter,estimate,se\n")
cat("sha256 of the data,", strsplit(system2("sha256sum", file, stdout = TRUE), " ")[[1]][1], ",\n", sep = "")
row("base", est["base", 1], est["base", 2])
row("clinician-designed", est["clinician", 1], est["clinician", 2])
row("none", est["none", 1], est["none", 2])
row("slope", est["slope", 1], est["slope", 2])
row("K1 - K2", est["k1", 1], est["k1", 2])
row("fair", est["fair", 1], est["fair", 2])
row("poor", est["poor", 1], est["poor", 2])
row("age", est["age", 1], est["age", 2])
row("combined", est["combined", 1], est["combined", 2])
row("lost", est["lost", 1], est["lost", 2])
# lme4 gives no standard error of a standard deviation: three times that of n
# directly observed case effects, since a case has one or two such movements.
row("case sd", sd_case, 3 * sd_case / sqrt(2 * n_case))
