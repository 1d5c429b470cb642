# Check values for pipeline/stats/logistic: logistic regression with a random
# intercept by the Laplace approximation, with lme4's glmer (nAGQ = 1).
# Run in this folder: Rscript glmer.R > reference.csv; it also writes the data.
# R 4.2.2, lme4 1.1-31, MASS 7.3-58.2.
suppressPackageStartupMessages({library(lme4); library(MASS)})
say <- function(check, value) cat(sprintf("%s,%.15g\n", check, value))
cat("check,value\n")
control <- glmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-9, maxfun = 1e5), tolPwrss = 1e-12)
tell <- function(tag, m) {
  f <- fixef(m)
  for (k in seq_along(f)) say(paste0(tag, ".beta", k), f[[k]])
  # Standard errors that take the spread's uncertainty in: from the Hessian of the deviance.
  for (k in seq_along(f)) say(paste0(tag, ".se", k), sqrt(vcov(m, use.hessian = TRUE)[k, k]))
  say(paste0(tag, ".spread"), attr(VarCorr(m)[[1]], "stddev")[[1]])
  say(paste0(tag, ".loglik"), as.numeric(logLik(m)))
  r <- ranef(m, condVar = TRUE)[[1]]
  v <- attr(r, "postVar")[1, 1, ]
  for (k in seq_len(nrow(r))) { say(paste0(tag, ".mode", k), r[k, 1]); say(paste0(tag, ".modevar", k), v[k]) }
}
c1 <- cbpp; c1$herd <- as.integer(c1$herd); c1$period <- as.integer(c1$period)
write.csv(c1, "cbpp.csv", row.names = FALSE, quote = FALSE)
tell("cbpp", glmer(cbind(incidence, size - incidence) ~ period + (1 | herd), cbpp, family = binomial, control = control))
b <- data.frame(y = as.integer(bacteria$y == "y"), week = bacteria$week, placebo = as.integer(bacteria$trt == "placebo"), id = as.integer(bacteria$ID))
write.csv(b, "bacteria.csv", row.names = FALSE, quote = FALSE)
tell("bacteria", glmer(y ~ placebo + week + (1 | id), b, family = binomial, control = control))
