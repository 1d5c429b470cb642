# Groups of lives that may be alike, fitted together by brute force, independently
# of the program under test: the hierarchical law of package lifetime's FitPooled,
#
#   log scale_k = log(m) + u + v_k,  u ~ N(0, rho s^2),  v_k ~ N(0, (1 - rho) s^2)
#   log shape_k = log(2) + ua + va_k, likewise with its own rho
#
# with both rho uniform on 0, 0.05 ... 0.95; every integral is a sum over a grid, and
# the likelihood comes from R's own dweibull and pweibull. No normal approximation.
#
#   Rscript pooled_groups.R      (in this folder; R 4.2, base only)
#
# aml.csv: Miller (1981), both arms; gehan.csv: Gehan (1965), both arms; each arm a
# group, of the third and fourth only the first few patients, so that they are sparse.

aml <- read.csv("aml.csv"); ge <- read.csv("gehan.csv")
arm <- function(t, d) data.frame(time = t, ended = d)
a1 <- aml[aml$x == "Maintained", ]; a2 <- aml[aml$x == "Nonmaintained", ]
g1 <- ge[ge$treat == "6-MP", ]; g2 <- ge[ge$treat == "control", ]
sets <- list(
  two = list(arm(a1$time, a1$status), arm(a2$time, a2$status)),
  four = list(arm(a1$time, a1$status), arm(a2$time, a2$status), arm(g1$time[1:4], g1$cens[1:4]), arm(g2$time[1:3], g2$cens[1:3])),
  apart = list(arm(g1$time, g1$cens), arm(g2$time, g2$cens), arm(g2$time[1:2] * 3, c(0, 1))))
m <- 20; s_scale <- 0.5; mid_shape <- 2; s_shape <- 0.5446

la <- seq(log(mid_shape) - 2.6, log(mid_shape) + 2.2, length.out = 121)   # log shape
lb <- seq(log(m) - 2.2, log(m) + 3.2, length.out = 141)                   # log scale
z <- seq(-4, 4, length.out = 41); wz <- dnorm(z) / sum(dnorm(z))
rhos <- (0:19) / 20
out <- NULL
for (set in names(sets)) {
  L <- lapply(sets[[set]], function(d) outer(la, lb, Vectorize(function(a, b) exp(sum(ifelse(d$ended == 1,
    dweibull(d$time, exp(a), exp(b), log = TRUE), pweibull(d$time, exp(a), exp(b), lower.tail = FALSE, log.p = TRUE)))))))
  L <- lapply(L, function(x) x / max(x))
  K <- length(L); total <- 0; s1 <- numeric(K); s2 <- numeric(K); t1 <- numeric(K); t2 <- numeric(K)
  prior <- function(grid, mid, s, rho) t(sapply(z, function(u) { d <- dnorm(grid, mid + u * s * sqrt(rho), s * sqrt(1 - rho)); d / sum(dnorm(grid, mid, s)) }))
  A <- lapply(rhos, function(r) prior(la, log(mid_shape), s_shape, r)); B <- lapply(rhos, function(r) prior(lb, log(m), s_scale, r))
  for (i in seq_along(rhos)) for (j in seq_along(rhos)) {
    M <- lapply(L, function(x) A[[i]] %*% x %*% t(B[[j]]))                # by ua and u
    P <- Reduce(`*`, M); w <- outer(wz, wz)
    total <- total + sum(w * P)
    for (k in 1:K) {
      rest <- w * Reduce(`*`, M[-k])
      f <- function(ga, gb) sum(rest * (A[[i]] %*% (L[[k]] * outer(ga, gb)) %*% t(B[[j]])))
      one <- rep(1, length(la)); oneb <- rep(1, length(lb))
      s1[k] <- s1[k] + f(one, lb); s2[k] <- s2[k] + f(one, lb^2)
      t1[k] <- t1[k] + f(la, oneb); t2[k] <- t2[k] + f(la^2, oneb)
    }
  }
  s1 <- s1 / total; s2 <- s2 / total; t1 <- t1 / total; t2 <- t2 / total
  out <- rbind(out, data.frame(set = set, group = 1:K, log_scale = s1, log_scale_sd = sqrt(s2 - s1^2), log_shape = t1, log_shape_sd = sqrt(t2 - t1^2)))
}
write.csv(format(out, digits = 8), "pooled_groups.csv", row.names = FALSE, quote = FALSE)
print(out)
