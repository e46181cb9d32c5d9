# Power of an analyst's own within-patient comparison, beside this program's, of the
# same simulated files. In the folder that
#   SHORTFALL_FILES=DIR go test ./audit/compare -run FilesForR -v
# has filled: Rscript power.R DIR (R 4.2.2, clubSandwich 0.5.8). lm with a dummy for each
# case, weights the planned amounts, CR2 with Satterthwaite degrees of freedom, Holm over
# the directions of a practice; once with class and arch, once with every tooth of a side,
# upper and lower apart, and the side.
suppressMessages(library(clubSandwich))
dir <- commandArgs(TRUE)[1]
models <- list("class and arch" = y ~ planned + I(planned^2) + factor(class) + factor(arch) + factor(within) + case + treated,
               "tooth and side" = y ~ planned + I(planned^2) + factor(tooth) + factor(side) + case + treated)
for (name in names(models)) {
  hit <- false <- n <- 0
  for (f in sort(list.files(dir, "\\.csv$", full.names = TRUE))) {
    d <- read.csv(f)
    p <- sapply(split(d, d$direction), function(x) {
      x <- x[!is.na(x$achieved), ]
      both <- tapply(x$treated, x$case, function(t) length(unique(t)) == 2)
      if (sum(both) < 10) return(c(NA, NA))
      x$y <- x$achieved / x$planned; x$case <- factor(x$case)
      m <- lm(models[[name]], x, weights = planned)
      r <- coef_test(m, vcov = "CR2", cluster = x$case, test = "Satterthwaite", coefs = "treated")
      c(r$p_Satt, r$beta)
    })
    called <- p.adjust(p[1, ], "holm") < .05; called[is.na(called)] <- FALSE
    n <- n + 1
    hit <- hit + (called[["extrusion"]] && p[2, "extrusion"] > 0)
    false <- false + any(called[names(called) != "extrusion"])
  }
  cat(sprintf("%s: %d practices, extrusion called in %d, another direction in %d\n", name, n, hit, false))
}
