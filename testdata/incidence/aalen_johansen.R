# Check values for pipeline/stats/incidence: Aalen-Johansen cumulative incidence.
# Run in this folder: Rscript aalen_johansen.R > reference.csv
# It writes mgus2_competing.csv (R package survival) and truncated.csv besides.
# R 4.2.2, survival 3.5-3, cmprsk 2.2-11.
suppressPackageStartupMessages({library(survival); library(cmprsk)})
say <- function(check, cause, age, estimate, se) cat(sprintf("%s,%d,%.15g,%.15g,%.15g\n", check, cause, age, estimate, se))
cat("check,cause,age,estimate,std_err\n")

m <- with(mgus2, data.frame(months = ifelse(pstat == 0, futime, ptime), cause = ifelse(pstat == 0, 2 * death, 1)))
write.csv(m, "mgus2_competing.csv", row.names = FALSE, quote = FALSE)
at <- c(1, 12, 60, 120, 180, 240, 300, 360)
# Right censored: the infinitesimal jackknife of survfit is the Aalen-Johansen variance.
f <- summary(survfit(Surv(months, factor(cause)) ~ 1, m, id = seq_len(nrow(m))), times = at)
for (k in 1:2) for (j in seq_along(at)) say("mgus2.survfit", k, at[j], f$pstate[j, k + 1], f$std.err[j, k + 1])
for (j in seq_along(at)) say("mgus2.survfit", 0L, at[j], f$pstate[j, 1], f$std.err[j, 1])
# cmprsk: the same estimates; its variance is another (Gray 1988) and differs in the third digit.
cm <- timepoints(cuminc(m$months, m$cause), at)
for (k in 1:2) for (j in seq_along(at)) say("mgus2.cuminc", k, at[j], cm$est[k, j], sqrt(cm$var[k, j]))

# Left truncated as well: each person came into view at an age, as in Channing House
# (R package boot, Hyde 1980); men's and women's deaths stand in for two causes.
ch <- boot::channing
ch <- ch[ch$exit > ch$entry, ]
tr <- data.frame(entry = ch$entry, exit = ch$exit, cause = ifelse(ch$cens == 0, 0, ifelse(ch$sex == "Male", 1, 2)))
write.csv(tr, "truncated.csv", row.names = FALSE, quote = FALSE)
late <- c(850, 900, 950, 1000, 1050, 1100, 1140)
# From 810 months on, where the first deaths at tiny risk sets are past. Estimates by
# survfit; variance by the matrix recursion of Andersen, Borgan, Gill & Keiding (1993),
# Statistical Models Based on Counting Processes, section IV.4, with binomial increments,
# written out here.
w <- tr[tr$exit > 810, ]; w$entry <- pmax(w$entry, 810)
s <- summary(survfit(Surv(entry, exit, factor(cause)) ~ 1, w, id = seq_len(nrow(w))), times = late)
times <- sort(unique(w$exit[w$cause > 0]))
P <- diag(3); V <- matrix(0, 9, 9); out <- list()
for (t in times) {
  n <- sum(w$entry < t & w$exit >= t); d <- c(sum(w$exit == t & w$cause == 1), sum(w$exit == t & w$cause == 2))
  A <- matrix(0, 3, 3); A[1, ] <- c(-sum(d), d) / n
  a <- A[1, ]
  C <- matrix(0, 9, 9)                                  # covariance of vec(dA), row 1 at places 1, 4, 7
  p <- c(d / n); S <- (diag(p) - p %*% t(p)) / n; J <- rbind(-c(1, 1), diag(2))
  C[c(1, 4, 7), c(1, 4, 7)] <- J %*% S %*% t(J)
  K <- t(diag(3) + A) %x% diag(3)
  V <- K %*% V %*% t(K) + (diag(3) %x% P) %*% C %*% t(diag(3) %x% P)
  P <- P %*% (diag(3) + A)
  out[[length(out) + 1]] <- c(t, P[1, ], sqrt(diag(V)[c(1, 4, 7)]))
}
out <- do.call(rbind, out)
for (j in seq_along(late)) {
  r <- out[max(which(out[, 1] <= late[j])), ]
  stopifnot(abs(r[2:4] - s$pstate[j, ]) < 1e-12)
  for (k in 0:2) say("truncated.recursion", k, late[j], r[2 + k], r[5 + k])
}
