# Nonlinear mixed models by nlme, maximum likelihood, with tolerances far below
# its defaults; the numbers of pipeline/stats/mixed/nlme_test.go.
# Run in this folder: Rscript nonlinear_fits.R (R 4.2.2, nlme 3.1-162).
suppressMessages(library(nlme)); options(digits = 15)
control <- nlmeControl(tolerance = 1e-9, pnlsTol = 1e-9, msTol = 1e-12, maxIter = 500,
                       pnlsMaxIter = 100, msMaxIter = 500, returnObject = TRUE)
show <- function(m) {
  cat("fixed", fixef(m), "\nse", sqrt(diag(vcov(m))),
      "\nsd", VarCorr(m)[1, 2], "sigma", m$sigma, "logLik", as.numeric(logLik(m)), "\n")
}
show(nlme(height ~ SSasymp(age, Asym, R0, lrc), data = Loblolly, fixed = Asym + R0 + lrc ~ 1,
          random = Asym ~ 1 | Seed, start = c(Asym = 103, R0 = -8.5, lrc = -3.3), control = control))
show(nlme(circumference ~ SSlogis(age, Asym, xmid, scal), data = Orange, fixed = Asym + xmid + scal ~ 1,
          random = Asym ~ 1 | Tree, start = c(Asym = 192, xmid = 728, scal = 350), control = control))
