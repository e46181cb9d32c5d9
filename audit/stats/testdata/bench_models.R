# The computations of BenchmarkModels in R, on the same invented data (a
# multiplicative congruential generator gives both sides the same numbers).
# Run in this folder on the machine that runs the Go benchmark:
#
#	Rscript bench_models.R            # prints processor seconds and estimates
#	go test -run '^$' -bench Models ./audit/stats/...
#
# bench_models.json keeps the estimates, not the times.
suppressMessages({ library(clubSandwich); library(lme4); library(MASS); library(sandwich) })

cases <- 5000; rows <- 20; n <- cases * rows
u <- numeric(16 * n); s <- 20240229
for (i in seq_along(u)) { s <- (s * 16807) %% 2147483647; u[i] <- s / 2147483647 }
u <- matrix(u, nrow = 16)                       # 16 uniforms a row
normal <- colSums(u[1:6, ]) - 3                 # variance one half
x <- cbind(1, as.numeric(u[7, ] < 0.5), u[8, ], u[9, ], as.numeric(u[10, ] < 0.3), u[11, ])
case <- rep(seq_len(cases), each = rows)
shift <- colSums(u[12:15, ])[(case - 1) * rows + 1] - 2 # one draw a case
y <- as.vector(x %*% c(0.5, 0.1, 0.2, -0.1, 0.05, 0.3)) + shift + normal
k <- floor(-log(u[16, ]) * exp(as.vector(x %*% c(0.5, 0.3, 0.2, -0.1, 0, 0.1))))

# Processor seconds, which a busy machine disturbs less than elapsed ones.
cpu <- function(t) sum(t[c("user.self", "sys.self")])
seconds <- function(e) min(replicate(3, cpu(system.time(e()))))
lin <- lm(y ~ 0 + x)
t0 <- seconds(function() lm.fit(x, y))
t1 <- cpu(system.time(v <- vcovCR(lm(y ~ 0 + x), cluster = case, type = "CR2")))
t2 <- seconds(function() m <<- lmer(y ~ 0 + x + (1 | case)))
t3 <- seconds(function() g <<- glm.nb(k ~ 0 + x))
t4 <- cpu(system.time(vg <- vcovCL(g, cluster = case, type = "HC0", cadjust = FALSE)))
cat(sprintf("least squares and CR2 %.2f s (fit alone %.3f)\nrandom intercept %.2f s\nnegative binomial and CR0 %.2f s\n", t1, t0, t2, t3 + t4), file = stderr())
num <- function(v) paste0("[", paste(formatC(as.numeric(v), digits = 15, format = "g"), collapse = ","), "]")
cat(sprintf('{"R":"%s","clubSandwich":"%s","lme4":"%s","MASS":"%s",\n"cr2":{"coef":%s,"se":%s},\n"mixed":{"coef":%s,"se":%s,"variances":%s},\n"negbin":{"coef":%s,"se":%s,"theta":%s}}\n',
  R.version.string, packageVersion("clubSandwich"), packageVersion("lme4"), packageVersion("MASS"),
  num(coef(lin)), num(sqrt(diag(as.matrix(v)))), num(fixef(m)), num(sqrt(diag(as.matrix(vcov(m))))),
  num(as.data.frame(VarCorr(m))$vcov), num(coef(g)), num(sqrt(diag(vg))), num(g$theta)))
