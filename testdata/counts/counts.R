# Values for pipeline/stats/counts and for the newsvendor, by R 4.2.2 and MASS 7.3-58.2.
# Run in this folder: Rscript counts.R
library(MASS)
options(digits = 15)
out <- data.frame(fit = character(), what = character(), value = numeric())
put <- function(fit, what, value) out <<- rbind(out, data.frame(fit = fit, what = what, value = value))
record <- function(name, m) {
  b <- coef(m); se <- sqrt(diag(vcov(m)))
  for (i in seq_along(b)) { put(name, paste0("b", i), b[[i]]); put(name, paste0("se", i), se[[i]]) }
  put(name, "loglik", as.numeric(logLik(m)))
  if (!is.null(m$theta)) { put(name, "theta", m$theta); put(name, "theta_se", m$SE.theta) }
}
tight <- glm.control(epsilon = 1e-14, maxit = 200)

# quine: days absent from school (Quine 1975)
write.csv(data.frame(days = quine$Days, eth = as.integer(quine$Eth == "N"), sex = as.integer(quine$Sex == "M"),
  f1 = as.integer(quine$Age == "F1"), f2 = as.integer(quine$Age == "F2"), f3 = as.integer(quine$Age == "F3"),
  lrn = as.integer(quine$Lrn == "SL")), "quine.csv", row.names = FALSE)
record("quine_poisson", glm(Days ~ Eth + Sex + Age + Lrn, poisson, quine, control = tight))
record("quine_negbin", glm.nb(Days ~ Eth + Sex + Age + Lrn, quine, control = tight))

# warpbreaks: breaks of yarn (Tippett 1950)
write.csv(data.frame(breaks = warpbreaks$breaks, wool = as.integer(warpbreaks$wool == "B"),
  m = as.integer(warpbreaks$tension == "M"), h = as.integer(warpbreaks$tension == "H")), "warpbreaks.csv", row.names = FALSE)
record("warpbreaks_poisson", glm(breaks ~ wool + tension, poisson, warpbreaks, control = tight))
record("warpbreaks_negbin", glm.nb(breaks ~ wool + tension, warpbreaks, control = tight))

# Insurance: claims with numbers of holders as exposure (Baxter, Coutts & Ross 1980)
ins <- MASS::Insurance
for (f in c("District", "Group", "Age")) ins[[f]] <- factor(as.character(ins[[f]]), levels = levels(MASS::Insurance[[f]]))
x <- model.matrix(~ District + Group + Age, ins)
write.csv(cbind(claims = ins$Claims, holders = ins$Holders, as.data.frame(x[, -1])), "insurance.csv", row.names = FALSE)
record("insurance_poisson", glm(ins$Claims ~ x - 1 + offset(log(ins$Holders)), family = poisson, control = tight))

# Beliefs: the mode of Poisson likelihood times normal densities (sd 0.5; intercept 10), by optim on warpbreaks
y <- warpbreaks$breaks; X <- model.matrix(~ wool + tension, warpbreaks); sd <- c(10, .5, .1, .1)
for (theta in c(Inf, 10)) {
  f <- function(b) { mu <- exp(X %*% b)
    -sum(if (is.finite(theta)) dnbinom(y, size = theta, mu = mu, log = TRUE) else dpois(y, mu, log = TRUE)) + sum(b^2 / sd^2) / 2 }
  o <- optim(c(3.5, 0, 0, 0), f, method = "BFGS", control = list(reltol = 1e-16, maxit = 5000))
  o <- optim(o$par, f, method = "BFGS", control = list(reltol = 1e-16, maxit = 5000))
  for (i in 1:4) put(paste0("belief_", theta), paste0("b", i), o$par[i])
}

# The laws themselves
for (mu in c(0.61, 3.2, 40)) for (size in c(0.7, 4, 50, Inf)) {
  name <- paste("law", mu, size)
  q <- function(p) if (is.finite(size)) qnbinom(p, size = size, mu = mu) else qpois(p, mu)
  d <- function(k) if (is.finite(size)) dnbinom(k, size = size, mu = mu, log = TRUE) else dpois(k, mu, log = TRUE)
  cdf <- function(k) if (is.finite(size)) pnbinom(k, size = size, mu = mu) else ppois(k, mu)
  for (k in c(0, 1, 5, 60)) { put(name, paste("log", k), d(k)); put(name, paste("cdf", k), cdf(k)) }
  for (p in c(0.1, 0.5, 0.9, 0.99)) put(name, paste("quantile", p), q(p))
}

# Newsvendor: normal demand 100, 20 and counts
for (r in list(c(10, 5), c(90, 10), c(50, 2), c(1, 3)))
  put("newsvendor_normal", paste(r, collapse = " "), qnorm(r[1] / sum(r), 100, 20))
for (r in list(c(10, 5), c(90, 10), c(1, 3))) {
  put("newsvendor_negbin", paste(r, collapse = " "), qnbinom(r[1] / sum(r), size = 4, mu = 12))
  put("newsvendor_poisson", paste(r, collapse = " "), qpois(r[1] / sum(r), 3.2))
}
out$value <- format(out$value, digits = 15, trim = TRUE)
write.csv(out, "reference.csv", row.names = FALSE, quote = FALSE)
