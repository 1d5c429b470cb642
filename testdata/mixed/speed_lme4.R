# Times lme4's lmer on a log of casts:  Rscript speed_lme4.R FILE N REPEATS
# FILE holds four columns of N little-endian doubles, one after the other:
# log wall, log dwell, age, mold (1, 2, ...). The model is
#     wall ~ dwell + age + (dwell | mold), REML,
# once with lmer's default settings and once without the check of derivatives
# at the end (calc.derivs = FALSE). The best of REPEATS is kept. Reading the file
# and making the factor are not timed. Prints one "name value" a line.
options(digits = 17, warn = 1)
suppressPackageStartupMessages(library(lme4))
arg <- commandArgs(trailingOnly = TRUE)
n <- as.numeric(arg[2])
repeats <- if (length(arg) > 2) as.integer(arg[3]) else 1L
con <- file(arg[1], "rb")
columns <- lapply(1:4, function(i) readBin(con, "double", n, size = 8, endian = "little"))
close(con)
stopifnot(all(lengths(columns) == n))
names(columns) <- c("wall", "dwell", "age", "mold")
columns$mold <- factor(columns$mold)
casts <- as.data.frame(columns)
rm(columns)

say <- function(name, value) cat(name, format(value, digits = 17), "\n")
best <- function(control) {
  seconds <- Inf
  for (i in seq_len(repeats)) {
    gc()
    took <- system.time(fit <- lmer(wall ~ dwell + age + (dwell | mold), casts, REML = TRUE, control = control))
    seconds <- min(seconds, took[["elapsed"]])
  }
  list(seconds = seconds, fit = fit)
}
plain <- best(lmerControl(calc.derivs = FALSE))
default <- best(lmerControl())
fit <- default$fit
v <- VarCorr(fit)$mold
cat("version R", as.character(getRversion()), "lme4", as.character(packageVersion("lme4")), "\n")
say("seconds", default$seconds)
say("seconds_without_derivatives", plain$seconds)
say("evaluations", fit@optinfo$feval)
say("criterion", REMLcrit(fit))
say("level", fixef(fit)[[1]])
say("exponent", fixef(fit)[[2]])
say("wear", fixef(fit)[[3]])
say("level_sd", attr(v, "stddev")[[1]])
say("exponent_sd", attr(v, "stddev")[[2]])
say("corr", attr(v, "correlation")[1, 2])
say("sd", sigma(fit))
