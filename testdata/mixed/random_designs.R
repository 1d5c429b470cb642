# Random designs for the mixed model engine, fitted by lme4 with tight tolerances.
# Run in this folder:  Rscript random_designs.R
# Writes random_designs.csv (the data), random_designs.json (lme4's fits) and
# components.json (profile limits of lme4 and standard errors from numDeriv's
# Hessian of lme4's own deviance function, by ML).
options(digits = 17, warn = 1)
suppressPackageStartupMessages({library(lme4); library(jsonlite); library(numDeriv)})
set.seed(20240611)

ctl <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhobeg = 0.2, rhoend = 1e-11, maxfun = 1e6),
                   calc.derivs = FALSE, check.conv.singular = "ignore",
                   check.nobs.vs.nRE = "ignore", check.scaleX = "ignore")

# name, groups, rows a group (from..to), p, q, weights, standard deviations of
# the random effects, correlation of all pairs, sigma, what X is
designs <- list(
  list("intercept only, few groups",          6,  2,  7, 1, 1, FALSE, 2.0,               0,    1.0, "one"),
  list("weights, one covariate",             12,  1,  9, 2, 1, TRUE,  0.7,               0,    1.5, "slope"),
  list("five fixed effects, weights",        15,  2,  8, 5, 1, TRUE,  3.0,               0,    0.5, "many"),
  list("no variance between groups",          8,  3,  6, 3, 1, FALSE, 0.0,               0,    1.0, "many"),
  list("random lines",                       14,  2, 10, 2, 2, FALSE, c(4, 0.5),         0.3,  1.0, "slope"),
  list("random lines, weights",              20,  1, 12, 4, 2, TRUE,  c(1, 0.2),        -0.6,  0.4, "many"),
  list("random lines, perfect correlation",  10,  3,  6, 2, 2, FALSE, c(2, 0.4),         1.0,  1.5, "slope"),
  list("random slope not among the fixed",   12,  4,  9, 1, 2, TRUE,  c(1, 0.8),         0,    0.7, "one"),
  list("random lines, far units",            12,  3,  8, 3, 2, TRUE,  c(300, 2),         0.2,  50,  "many"),
  list("three random effects",               24,  4, 11, 3, 3, FALSE, c(3, 1, 0.5),      0.4,  1.0, "slope"),
  list("three random effects, weights",      30,  2, 12, 5, 3, TRUE,  c(1, 0.6, 0.3),   -0.3,  0.5, "many"),
  list("three random effects, few groups",    7,  5,  9, 1, 3, TRUE,  c(1, 0.5, 0.2),    0.8,  0.8, "one"),
  list("large effects, small noise",         10,  4,  8, 2, 2, FALSE, c(20, 10),        -0.2,  0.05, "slope"))

all <- NULL; fits <- list()
for (i in seq_along(designs)) {
  d <- designs[[i]]; names(d) <- c("name", "groups", "from", "to", "p", "q", "weighted", "sd", "cor", "sigma", "x")
  n <- sample(d$from:d$to, d$groups, replace = TRUE)
  g <- sample(rep(seq_len(d$groups), n))              # rows in no order
  N <- length(g); t <- round(runif(N, 0, 6), 3)
  u <- round(rnorm(N), 3); f <- (g %% 3 == 0) + 0
  x <- switch(d$x, one = cbind(rep(1, N)), slope = cbind(1, t, t^2), many = cbind(1, t, f, u, round(exp(u / 2), 3)))
  x <- x[, seq_len(d$p), drop = FALSE]
  z <- cbind(1, t, u)[, seq_len(d$q), drop = FALSE]
  w <- if (d$weighted) round(rgamma(N, 2, 2) + 0.1, 2) else rep(1, N)
  R <- matrix(d$cor, d$q, d$q); diag(R) <- 1
  e <- eigen(diag(d$sd, d$q) %*% R %*% diag(d$sd, d$q), symmetric = TRUE)
  B <- matrix(rnorm(d$groups * d$q), d$groups) %*% t(e$vectors %*% diag(sqrt(pmax(e$values, 0)), d$q))
  y <- round(drop(x %*% (seq_len(d$p) * rep_len(c(1, -1), d$p))) + rowSums(z * B[g, , drop = FALSE]) + rnorm(N, 0, d$sigma / sqrt(w)), 4)
  colnames(x) <- paste0("x", seq_len(d$p)); colnames(z) <- paste0("z", seq_len(d$q))
  data <- data.frame(y, w, g = factor(g, levels = seq_len(d$groups)), x, z)
  form <- as.formula(paste("y ~ 0 +", paste(colnames(x), collapse = "+"), "+ (0 +", paste(colnames(z), collapse = "+"), "| g)"))
  out <- list(design = i, name = d$name, groups = d$groups, p = d$p, q = d$q)
  for (reml in c(TRUE, FALSE)) {
    m <- lmer(form, data, weights = w, REML = reml, control = ctl)
    for (k in 1:3) m <- update(m, start = getME(m, "theta"))
    r <- ranef(m, condVar = TRUE)$g; pv <- attr(r, "postVar")
    vc <- as.data.frame(VarCorr(m))
    out[[if (reml) "reml" else "ml"]] <- list(
      criterion = if (reml) REMLcrit(m) else deviance(m, REML = FALSE), m2loglik = -2 * as.numeric(logLik(m)),
      beta = I(unname(fixef(m))), se = I(unname(sqrt(diag(as.matrix(vcov(m)))))), sigma = sigma(m),
      sd = I(vc$sdcor[is.na(vc$var2) & vc$grp == "g"]), theta = I(unname(getME(m, "theta"))),
      aic = AIC(m), modes = unname(as.matrix(r)), condvar = lapply(seq_len(dim(pv)[3]), function(k) matrix(pv[, , k], d$q)))
  }
  fits[[i]] <- out
  pad <- function(a, k) { b <- matrix(NA_real_, N, k); b[, seq_len(ncol(a))] <- a; b }
  X <- pad(x, 5); colnames(X) <- paste0("x", 1:5); Z <- pad(z, 3); colnames(Z) <- paste0("z", 1:3)
  all <- rbind(all, data.frame(design = i, group = g - 1L, y, w, X, Z))
}
write.csv(format(all, digits = 15, trim = TRUE, drop0trailing = TRUE), "random_designs.csv", row.names = FALSE, quote = FALSE, na = "")
writeLines(gsub("NA", "", readLines("random_designs.csv")), "random_designs.csv")
versions <- list(R = R.version.string, lme4 = as.character(packageVersion("lme4")), numDeriv = as.character(packageVersion("numDeriv")))
save <- function(x, file) writeLines(toJSON(c(list(versions = versions), x), digits = NA, auto_unbox = TRUE, pretty = FALSE, matrix = "rowmajor"), file)
save(list(fits = fits), "random_designs.json")

# Profile limits and standard errors of standard deviations, correlation, sigma.
one <- function(form, data) {
  m <- lmer(form, data, REML = FALSE, control = ctl)
  f <- lme4:::devfun2(m, useSc = TRUE, signames = FALSE)
  at <- attr(f, "optimum")[seq_len(length(getME(m, "theta")) + 1)]
  pr <- suppressWarnings(profile(m, which = seq_along(at), signames = FALSE, maxpts = 400, delta.cutoff = 1/40))
  ci <- confint(pr, level = 0.95)
  ci90 <- confint(pr, level = 0.90)
  list(names = names(at), estimate = I(unname(at)),
       se = I(if (any(at == 0)) numeric(0) else sqrt(diag(solve(hessian(function(x) f(x), at) / 2)))),
       lower95 = I(unname(ci[, 1])), upper95 = I(unname(ci[, 2])), lower90 = I(unname(ci90[, 1])), upper90 = I(unname(ci90[, 2])))
}
d10 <- subset(all, design == 10)
form10 <- y ~ 0 + x1 + x2 + x3 + (0 + z1 + z2 + z3 | group)

# lme4's profile fails in places for three effects, so the deviance of design 10
# is also minimised directly with one parameter held: effects in the order
# given, the first (and second) being those of the parameter held.
m <- lmer(form10, d10, REML = FALSE, control = ctl)
pp <- m@pp$copy(); resp <- m@resp$copy(); n <- nrow(d10); base <- -2 * as.numeric(logLik(m))
dev <- function(B, order, s) {
  A <- matrix(0, 3, 3); A[order, ] <- B
  L <- t(chol(A %*% t(A) + 1e-13 * diag(3))) / s
  .Call(lme4:::lmer_Deviance, pp$ptr(), resp$ptr(), L[lower.tri(L, TRUE)])
  pp$ldL2() + (resp$wrss() + pp$sqrL(1)) / s^2 + n * log(2 * pi * s^2)
}
held <- function(kind, order, value) {
  f <- if (kind == "sd") function(x) dev(rbind(c(value, 0, 0), c(x[1:2], 0), x[3:5]), order, exp(x[6]))
       else function(x) dev(rbind(c(exp(x[1]), 0, 0), exp(x[2]) * c(value, sqrt(1 - value^2), 0), x[3:5]), order, exp(x[6]))
  best <- Inf
  for (k in 1:10) {
    set.seed(k)
    x <- if (kind == "sd") c(0.5, 1, 2, 1, 3, 0) else c(-1, 0, 2, 1, 3, 0)
    o <- optim(x + rnorm(6) * 0.5, f, method = "Nelder-Mead", control = list(maxit = 20000, reltol = 1e-14))
    o <- optim(o$par, f, method = "BFGS", control = list(reltol = 1e-15, maxit = 1000))
    best <- min(best, o$value)
  }
  list(kind = kind, i = order[1] - 1, j = order[2] - 1, value = value, rise = best - base)
}
rises <- list(held("cor", c(3, 2, 1), -0.6), held("cor", c(3, 2, 1), -0.9), held("cor", c(3, 2, 1), 0.9),
              held("cor", c(3, 1, 2), 0), held("cor", c(3, 1, 2), -0.2), held("cor", c(2, 1, 3), -0.2),
              held("sd", c(3, 1, 2), 0.02), held("sd", c(3, 2, 1), 0.6), held("sd", c(1, 2, 3), 6))

save(list(
  sleepstudy = one(Reaction ~ Days + (Days | Subject), read.csv("sleepstudy.csv")),
  sleepstudy_unbalanced = one(Reaction ~ Days + (Days | Subject), read.csv("sleepstudy_unbalanced.csv")),
  dyestuff = one(Yield ~ 1 + (1 | Batch), read.csv("dyestuff.csv")),
  dyestuff2 = one(Yield ~ 1 + (1 | Batch), read.csv("dyestuff2.csv")),
  design10 = one(form10, d10), design10_rises = rises), "components.json")
