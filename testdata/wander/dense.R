# Check values for pipeline/stats/wander: the likelihood of wandering paths
# written out with dense covariance matrices, and linear mixed models by lme4.
# Run in this folder: Rscript dense.R > reference.csv
# R 4.2.2, lme4 1.1-31, mvtnorm 1.1-3.
suppressPackageStartupMessages({library(lme4); library(mvtnorm)})
say <- function(check, value) cat(sprintf("%s,%.15g\n", check, value))
cat("check,value\n")

s <- read.csv("../mixed/sleepstudy.csv")
bobyqa <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10, maxfun = 1e5))
for (reml in c(TRUE, FALSE)) {
  tag <- if (reml) "reml" else "ml"
  m <- lmer(Reaction ~ Days + (Days || Subject), s, REML = reml, control = bobyqa)
  v <- as.data.frame(VarCorr(m))
  say(paste0("sleepstudy.", tag, ".criterion"), -2 * as.numeric(logLik(m)))
  say(paste0("sleepstudy.", tag, ".level_sd"), v$sdcor[1])
  say(paste0("sleepstudy.", tag, ".drift_sd"), v$sdcor[2])
  say(paste0("sleepstudy.", tag, ".noise"), sigma(m))
  say(paste0("sleepstudy.", tag, ".level"), fixef(m)[[1]])
  say(paste0("sleepstudy.", tag, ".drift"), fixef(m)[[2]])
  say(paste0("sleepstudy.", tag, ".level_se"), sqrt(vcov(m)[1, 1]))
  say(paste0("sleepstudy.", tag, ".drift_se"), sqrt(vcov(m)[2, 2]))
}

# Wandering paths: Cov(y_j, y_k) = s_a^2 + s_b^2 n_j n_k + q min(n_j, n_k) + sigma^2 [j = k].
blocks <- function(d, th) lapply(split(d, d$Subject), function(u)
  th[3]^2 + th[4]^2 * outer(u$Days, u$Days) + th[2] * outer(u$Days, u$Days, pmin) + diag(th[1]^2, nrow(u)))
minus2 <- function(d, th, reml) {
  V <- blocks(d, th); U <- split(d, d$Subject)
  xvx <- 0; xvy <- 0
  for (i in seq_along(U)) { X <- cbind(1, U[[i]]$Days); xvx <- xvx + t(X) %*% solve(V[[i]], X); xvy <- xvy + t(X) %*% solve(V[[i]], U[[i]]$Reaction) }
  b <- solve(xvx, xvy)
  l <- 0
  for (i in seq_along(U)) l <- l + dmvnorm(U[[i]]$Reaction, as.vector(cbind(1, U[[i]]$Days) %*% b), V[[i]], log = TRUE)
  out <- -2 * l
  if (reml) out <- out + as.numeric(determinant(xvx)$modulus) - 2 * log(2 * pi)
  attr(out, "b") <- b
  out
}
# Every other reading of every third subject left out: irregular ages.
k <- as.integer(factor(s$Subject))
d <- s[!(k %% 3 == 0 & s$Days %% 2 == 1), ]
th <- c(20, 60, 25, 6)
say("uneven.given.ml", minus2(d, th, FALSE)); say("uneven.given.reml", minus2(d, th, TRUE))
for (reml in c(TRUE, FALSE)) {
  tag <- if (reml) "reml" else "ml"
  f <- function(l) as.numeric(minus2(d, c(exp(l[1]), exp(2 * l[2]), exp(l[3]), exp(l[4])), reml))
  o <- NULL
  for (begin in list(log(c(20, 8, 25, 6)), log(c(10, 15, 25, 3)), log(c(25, 3, 20, 6)))) {
    p <- optim(begin, f, control = list(reltol = 1e-14, maxit = 5000)); p <- optim(p$par, f, control = list(reltol = 1e-15, maxit = 5000))
    p <- optim(p$par, f, method = "BFGS", control = list(reltol = 1e-15, ndeps = rep(1e-5, 4)))
    if (is.null(o) || p$value < o$value) o <- p
  }
  e <- exp(o$par)
  say(paste0("uneven.", tag, ".criterion"), o$value)
  say(paste0("uneven.", tag, ".noise"), e[1]); say(paste0("uneven.", tag, ".diffusion"), e[2]^2)
  say(paste0("uneven.", tag, ".level_sd"), e[3]); say(paste0("uneven.", tag, ".drift_sd"), e[4])
  b <- attr(minus2(d, c(e[1], e[2]^2, e[3], e[4]), reml), "b")
  say(paste0("uneven.", tag, ".level"), b[1]); say(paste0("uneven.", tag, ".drift"), b[2])
}
