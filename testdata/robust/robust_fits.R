# Robust fits to compare with; prints robust_fits.json.
# Run in this folder: Rscript robust_fits.R > robust_fits.json
# (R 4.2.2, MASS 7.3-58.2, lme4 1.1-31). MASS::rlm takes median(|r|)/0.6745 as
# scale, anew in each round; the mixed model repeats the same by lme4's lmer.
suppressMessages({library(MASS); library(lme4); library(jsonlite)})
clipped <- function(u, c = 3, deriv = 0) {
  if (deriv) stop("not needed here")
  pmin(1, (c / abs(u))^4)
}
stackloss <- read.csv("stackloss.csv")
cars <- read.csv("cars.csv")
slipped <- cars # two distances ten times too large
slipped$dist[c(10, 30)] <- 10 * slipped$dist[c(10, 30)]
sleepstudy <- read.csv("../mixed/sleepstudy.csv")
linear <- function(name, formula, data, weight) {
  m <- if (weight == "huber") rlm(formula, data, psi = psi.huber, k = 1.345, scale.est = "MAD", acc = 1e-13, maxit = 500)
       else rlm(formula, data, psi = clipped, scale.est = "MAD", acc = 1e-13, maxit = 500)
  stopifnot(m$converged)
  list(name = name, weight = weight, beta = unname(coef(m)), scale = m$s, weights = unname(m$w))
}
mixed <- function(name, weight) {
  w <- rep(1, nrow(sleepstudy))
  for (round in 1:300) {
    sleepstudy$w <- w
    m <- lmer(Reaction ~ Days + (Days | Subject), sleepstudy, weights = w,
              control = lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10)))
    r <- sleepstudy$Reaction - fitted(m)
    scale <- median(abs(r)) / 0.6745
    u <- abs(r) / scale
    new <- if (weight == "huber") pmin(1, 1.345 / u) else clipped(u)
    change <- max(abs(new - w))
    w <- new
    if (change < 1e-8) break
  }
  stopifnot(change < 1e-8)
  v <- VarCorr(m)$Subject
  list(name = name, weight = weight, beta = unname(fixef(m)), scale = scale, weights = unname(w),
       sigma = sigma(m), sd = unname(attr(v, "stddev")))
}
cat(toJSON(list(
  linear("stackloss", stack.loss ~ ., stackloss, "huber"),
  linear("stackloss", stack.loss ~ ., stackloss, "clipped"),
  linear("cars", dist ~ speed, cars, "huber"),
  linear("cars", dist ~ speed, cars, "clipped"),
  linear("cars, two points slipped", dist ~ speed, slipped, "huber"),
  linear("cars, two points slipped", dist ~ speed, slipped, "clipped"),
  mixed("sleepstudy", "huber"),
  mixed("sleepstudy", "clipped")), auto_unbox = TRUE, digits = NA, pretty = FALSE), "\n")
