# Product-limit steps and Weibull profile limits by R's survival package, for the
# published sets of this folder; compared with by the tests of pipeline/stats/lifetime.
#
#   Rscript survival_checks.R      (in this folder; R 4.2, survival 3.5)
#
# Profile limits: the log likelihood of a Weibull with the shape held, by survreg with
# scale = 1/shape fixed, its fall by qchisq(level, 1)/2 found by uniroot; of the
# median likewise, by shape over optimise at a median held.

library(survival)
ge <- read.csv("gehan.csv"); lz <- read.csv("lieblein_zelen_bearings.csv"); sh <- read.csv("stanford_heart.csv")
sets <- list(bearings = data.frame(time = lz[[ncol(lz)]], ended = 1),
             gehan6mp = with(ge[ge$treat == "6-MP", ], data.frame(time = time, ended = cens)),
             gehancontrol = with(ge[ge$treat == "control", ], data.frame(time = time, ended = cens)))
out <- NULL
for (name in names(sets)) {
  d <- sets[[name]]
  full <- survreg(Surv(time, ended) ~ 1, d, dist = "weibull", control = survreg.control(rel.tolerance = 1e-10, maxiter = 100))
  top <- full$loglik[1]; shape <- 1 / full$scale
  held <- function(a) survreg(Surv(time, ended) ~ 1, d, dist = "weibull", scale = exp(-a))$loglik[1]
  lik <- function(a, b) sum(ifelse(d$ended == 1, dweibull(d$time, exp(a), exp(b), log = TRUE), pweibull(d$time, exp(a), exp(b), lower.tail = FALSE, log.p = TRUE)))
  median <- function(q) optimise(function(a) lik(a, q - log(log(2)) * exp(-a)), log(shape) + c(-3, 3), maximum = TRUE, tol = 1e-11)$objective
  at <- function(f, mid, level) sapply(c(-1, 1), function(s) uniroot(function(x) f(x) - top + qchisq(level, 1) / 2, mid + s * c(1e-6, 2.5), tol = 1e-12)$root)
  for (level in c(0.8, 0.95)) {
    i <- exp(at(held, log(shape), level)); m <- exp(at(median, full$coef[[1]] + full$scale * log(log(2)), level))
    out <- rbind(out, data.frame(set = name, what = c("shape", "median"), level = level, lower = c(i[1], m[1]), upper = c(i[2], m[2])))
  }
}
write.csv(format(out, digits = 12, trim = TRUE), "profile_limits.csv", row.names = FALSE, quote = FALSE)
print(out)

km <- NULL
add <- function(name, s) km <<- rbind(km, data.frame(set = name, time = s$time, surv = s$surv, se = s$surv * s$std.err, lower = s$lower, upper = s$upper))
for (name in names(sets)) add(name, survfit(Surv(time, ended) ~ 1, sets[[name]], conf.type = "log"))
add("stanford", survfit(Surv(start, stop, event) ~ 1, sh, conf.type = "log"))
km[!is.finite(km$se), c("se", "lower", "upper")] <- NA
write.csv(format(km, digits = 14, trim = TRUE), "survfit_steps.csv", row.names = FALSE, quote = FALSE)
