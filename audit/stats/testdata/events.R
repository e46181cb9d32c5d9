# Reference values for cumulative incidence and mean cumulative counts, from open
# data sets that ship with R's survival, cmprsk and etm. Run in this folder:
#
#	Rscript events.R > events.json
#
# On Debian 12: apt-get install r-cran-survival r-cran-cmprsk r-cran-etm. The Go
# tests read the file and need no R.

suppressMessages({ library(survival); library(cmprsk); library(etm) })
num <- function(x) ifelse(is.na(x) | is.infinite(x), "null", formatC(x, digits = 15, width = 1, format = "g"))
js <- function(x) {
  if (is.null(x)) return("null")
  if (is.list(x) && is.null(names(x))) return(paste0("[", paste(vapply(x, js, ""), collapse = ","), "]"))
  if (is.list(x)) return(paste0("{", paste0('"', names(x), '":', vapply(x, js, ""), collapse = ",\n"), "}"))
  if (is.character(x)) return(paste0('"', gsub('"', '\\\\"', x), '"'))
  paste0("[", paste(num(as.numeric(x)), collapse = ","), "]")
}
out <- list(R = R.version.string, packages = paste(sapply(c("survival", "cmprsk", "etm"), function(p) paste(p, packageVersion(p))), collapse = ", "))

# --- cumulative incidence ---------------------------------------------------------
# The influence of each subject on the state probabilities, as survfit gives it.
# Its first column is the start where there is one more than times.
influence <- function(f) {
  inf <- f$influence.pstate
  if (dim(inf)[2] == length(f$time) + 1) inf[, -1, , drop = FALSE] else inf
}
first <- function(id, source, time, cause, horizons, cluster = seq_along(time), group = NULL) {
  d <- data.frame(time, cause = factor(cause, 0:max(cause)), cluster, id = seq_along(time))
  f <- survfit(Surv(time, cause) ~ 1, data = d, id = id, influence = TRUE)
  i <- sapply(horizons, function(h) max(which(f$time <= h)))
  by <- rowsum(sapply(i, function(j) influence(f)[, j, 2]), cluster)
  r <- list(source = source, time = time, cause = cause, cluster = cluster, horizons = horizons,
    incidence = f$pstate[i, 2], se = sqrt(colSums(by^2)))
  ci <- cuminc(time, cause)
  r$cmprsk <- timepoints(ci, horizons)$est["1 1", ]
  r$cmprskSE <- sqrt(timepoints(ci, horizons)$var["1 1", ])
  ed <- data.frame(id = d$id, from = 0, to = ifelse(cause == 0, "cens", as.character(cause)), time = time)
  tra <- matrix(FALSE, max(cause) + 1, max(cause) + 1); tra[1, -1] <- TRUE
  e <- etm(ed, as.character(0:max(cause)), tra, "cens", 0)
  es <- summary(e)[["0 1"]]
  at <- sapply(horizons, function(h) max(which(es$time <= h)))
  r$etm <- es$P[at]; r$etmSE <- sqrt(es$var[at])
  if (!is.null(group)) { # each arm on its own, differences clustered over both arms
    r$group <- group
    arm <- lapply(1:2, function(k) {
      own <- d[group == k, ]
      own$id <- seq_len(nrow(own))
      f <- survfit(Surv(time, cause) ~ 1, data = own, id = id, influence = TRUE)
      i <- sapply(horizons, function(h) max(which(f$time <= h)))
      inf <- influence(f)
      list(p = f$pstate[i, 2], inf = sapply(i, function(j) inf[, j, 2]), cluster = own$cluster)
    })
    diff <- arm[[1]]$p - arm[[2]]$p
    all <- rbind(arm[[1]]$inf, -arm[[2]]$inf)
    by <- rowsum(all, c(arm[[1]]$cluster, arm[[2]]$cluster))
    r$difference <- diff; r$differenceSE <- sqrt(colSums(by^2))
  }
  r
}
m <- mgus2[seq(1, nrow(mgus2), by = 4), ]
mt <- ifelse(m$pstat == 1, m$ptime, m$futime); mc <- ifelse(m$pstat == 1, 1, 2 * m$death)
p <- pbc[!is.na(pbc$trt), ]
data(fourD, package = "etm")
set.seed(1)
tied <- data.frame(time = c(6, 6, 6, 9, 9, 12, 12, 12, 12, 15, 18, 18, 18, 20, 20, 24, 24, 24, 30, 30), cause = c(1, 0, 2, 1, 1, 0, 1, 2, 0, 1, 2, 1, 0, 1, 0, 2, 1, 0, 0, 1))
out$first <- list(
  mgus2 = first("mgus2", "survival::mgus2, every fourth: progression, death competing", mt, mc, c(60, 120, 240)),
  pbc = first("pbc", "survival::pbc, transplant with death competing, clusters by order, arms by treatment", p$time / 30.4375, p$status, c(24, 48, 96), cluster = (seq_len(nrow(p)) - 1) %% 37, group = p$trt),
  fourD = first("fourD", "etm::fourD, dialysis, first event, the other competing, arms by sex", round(fourD$time, 3), ifelse(fourD$status == 0, 0, ifelse(fourD$status == 1, 1, 2)), c(1, 2, 4), cluster = seq_len(nrow(fourD)) %/% 3, group = ifelse(fourD$sex == "Male", 1, 2)),
  tied = first("tied", "invented, in months with ties", tied$time, tied$cause, c(6, 12, 18, 24)))

# --- mean cumulative count ------------------------------------------------------
# cumhaz of survfit with id is Nelson's mean cumulative function, its robust
# standard error that of Lawless & Nadeau (1995).
mean <- function(source, data, horizons, cluster = NULL) {
  f <- survfit(Surv(start, stop, event) ~ 1, data = data, id = id, robust = TRUE)
  i <- sapply(horizons, function(h) max(which(f$time <= h)))
  ids <- unique(data$id)
  list(source = source, events = lapply(ids, function(k) floor(data$stop[data$id == k & data$event == 1])),
    end = sapply(ids, function(k) max(data$stop[data$id == k])), horizons = horizons, mean = f$cumhaz[i], se = f$std.chaz[i])
}
# Two seats of engine 328 were replaced on one day: the second is put a moment later
# for survfit which no horizon sees.
vs <- valveSeat[order(valveSeat$id, valveSeat$time, -valveSeat$status), ]
again <- duplicated(vs[, c("id", "time")])
vs$time[again] <- vs$time[again] + .01
vs$start <- ave(vs$time, vs$id, FUN = function(t) c(0, head(t, -1)))
vs <- data.frame(id = vs$id, start = vs$start, stop = vs$time, event = vs$status)
cg <- data.frame(id = cgd$id, start = cgd$tstart, stop = cgd$tstop, event = cgd$status)
bl <- with(bladder2, data.frame(id = id, start = start, stop = stop, event = event))
bl <- bl[bl$start < bl$stop, ]
out$counts <- list(cgd = mean("survival::cgd, serious infections", cg, c(90, 180, 270, 360)), bladder = mean("survival::bladder2, recurrences", bl, c(6, 12, 24, 36)))
out$counts$valves <- mean("survival::valveSeat, Nelson's valve seats", vs, c(100, 200, 400, 600))
cat(js(out), "\n", sep = "")
