# Check values of package pool. Rscript pool.R
suppressMessages(library(lme4))
cat(R.version.string, "lme4", as.character(packageVersion("lme4")), "\n")
options(digits = 12)
# 1. Dyestuff (Davies & Goldsmith 1972), balanced: the predictions of lmer at its
# REML variances are those of pooled group means with known variance sigma^2/5.
f <- lmer(Yield ~ 1 + (1 | Batch), Dyestuff, control = lmerControl(check.conv.grad = .makeCC("ignore", 1e-9)))
vc <- as.data.frame(VarCorr(f))$vcov
cat("dyestuff tau^2, sigma^2", vc, "\nmeans", tapply(Dyestuff$Yield, Dyestuff$Batch, mean), "\ncoef", coef(f)$Batch[, 1],
    "\nsd", sqrt(attr(ranef(f, condVar = TRUE)$Batch, "postVar")[1, 1, ]), " (mean known)\n")
# 2. Eight schools (Rubin 1981): half-Cauchy prior of scale 25 on tau, by integrate().
y <- c(28, 8, -3, 7, -1, 1, 18, 12); v <- c(15, 10, 16, 11, 9, 11, 10, 18)^2
one <- function(tau, g, what) {
  w <- 1 / (v + tau^2); V <- 1 / sum(w); m <- sum(w * y) * V
  l <- prod(sqrt(w)) * sqrt(V) * exp(-sum(w * (y - m)^2) / 2) * 2 / (pi * 25 * (1 + (tau / 25)^2)) * 1e10
  b <- tau^2 / (tau^2 + v[g]); e <- m + b * (y[g] - m); s <- b * v[g] + (1 - b)^2 * V
  l * switch(what, one = 1, mean = e, square = e^2 + s)
}
whole <- function(g, what) integrate(function(t) sapply(t, one, g, what), 0, Inf, rel.tol = 1e-10, subdivisions = 1000)$value
cdf <- function(x, g) integrate(function(t) sapply(t, function(tau) {
  w <- 1 / (v + tau^2); V <- 1 / sum(w); m <- sum(w * y) * V; b <- tau^2 / (tau^2 + v[g])
  one(tau, g, "one") * pnorm(x, m + b * (y[g] - m), sqrt(b * v[g] + (1 - b)^2 * V)) }), 0, Inf, rel.tol = 1e-10, subdivisions = 1000)$value / whole(1, "one")
for (g in c(1, 3, 8)) {
  m <- whole(g, "mean") / whole(g, "one")
  cat("school", g, "mean", m, "sd", sqrt(whole(g, "square") / whole(g, "one") - m^2),
      "80 %", uniroot(function(x) cdf(x, g) - 0.1, c(-40, 40), tol = 1e-9)$root, uniroot(function(x) cdf(x, g) - 0.9, c(-40, 60), tol = 1e-9)$root, "\n")
}
