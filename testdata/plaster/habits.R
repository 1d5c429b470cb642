# Check values of learn(): the conjugate normal and inverse gamma, by numerical
# integration of the posterior instead of its closed form, and Student's law.
# Rscript habits.R
x <- c(0.012, 0.03, 0.021, 0.008, 0.017); m <- 0.01; s2 <- 0.0004; p <- 3
# mu | v ~ N(m, v/p), v ~ scaled inverse chi-squared(p, s2)
lp <- function(mu, v) sum(dnorm(x, mu, sqrt(v), log = TRUE)) + dnorm(mu, m, sqrt(v / p), log = TRUE) -
  (p / 2 + 1) * log(v) - p * s2 / (2 * v)
top <- lp(0.015, 2e-4)
inner <- function(f) function(lv) sapply(lv, function(l) { v <- exp(l)
  integrate(function(mu) f(mu, v) * sapply(mu, function(a) exp(lp(a, v) - top)), -0.2, 0.2, subdivisions = 2000, rel.tol = 1e-9)$value * v })
whole <- function(f) integrate(inner(f), log(1e-6), log(1e-1), subdivisions = 2000, rel.tol = 1e-8)$value
one <- whole(function(mu, v) 1)
cat("posterior mean of mu by integration", format(whole(function(mu, v) mu) / one, digits = 8), "\n")
n <- length(x); nu <- p + n
# E[v] = nu/(nu - 2) * variance
cat("variance by integration", format(whole(function(mu, v) v) / one * (nu - 2) / nu, digits = 8), "\n")
cat("closed forms", format((p * m + sum(x)) / nu, digits = 12),
  format((p * s2 + sum((x - mean(x))^2) + p * n / nu * (mean(x) - m)^2) / nu, digits = 12), "\n")
cat("qt(0.9, 8)", format(qt(0.9, nu), digits = 13), " qnorm(0.9)", format(qnorm(0.9), digits = 13), "\n")
