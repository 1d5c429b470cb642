# Left truncated, right censored Weibull lives, fitted by direct maximisation of
# the likelihood, independently of the program under test: the density and
# survival come from R's own dweibull and pweibull, derivatives are numerical.
#
#   Rscript truncated_weibull.R      (in this folder; R 4.2, base and stats only)
#
# channing: Channing House, Hyde (1980), as data set `channing` of R package boot
#           1.3; ages in months, residents with exit > entry.
# stanford: stanford_heart.csv, Crowley & Hu (1977), spells after and before
#           transplant taken as separate left-truncated units.

fit <- function(entry, exit, ended) {
  nll <- function(p) {
    shape <- exp(p[1]); scale <- exp(p[2])
    -sum(ifelse(ended == 1, dweibull(exit, shape, scale, log = TRUE),
                pweibull(exit, shape, scale, lower.tail = FALSE, log.p = TRUE)) -
         pweibull(entry, shape, scale, lower.tail = FALSE, log.p = TRUE))
  }
  best <- list(value = Inf)
  for (shape in c(.3, .5, 1, 2, 5, 10)) for (scale in quantile(exit, c(.3, .6, .9)) * c(1, 3, 30)) {
    o <- try(optim(log(c(shape, scale)), nll, method = "Nelder-Mead",
                   control = list(reltol = 1e-15, maxit = 20000)), silent = TRUE)
    if (!inherits(o, "try-error") && o$value < best$value) best <- o
  }
  for (i in 1:3) best <- optim(best$par, nll, method = "Nelder-Mead",
                               control = list(reltol = 1e-16, maxit = 20000))
  h <- optimHess(best$par, nll, control = list(ndeps = c(1e-4, 1e-4)))
  v <- solve(h); e <- exp(best$par)
  list(shape = e[1], scale = e[2], shape_se = e[1] * sqrt(v[1, 1]), scale_se = e[2] * sqrt(v[2, 2]),
       cov_log = v[1, 2], loglik = -best$value)
}

out <- NULL
add <- function(name, r) out <<- rbind(out, data.frame(set = name, name = names(r),
  value = sprintf("%.12g", unlist(r)), row.names = NULL))
ch <- read.csv("channing.csv")
add("channing", fit(ch$entry, ch$exit, ch$cens))
for (s in c("Male", "Female")) { d <- ch[ch$sex == s, ]; add(paste0("channing_", s), fit(d$entry, d$exit, d$cens)) }
sh <- read.csv("stanford_heart.csv")
add("stanford", fit(sh$start, sh$stop, sh$event))
write.csv(out, "truncated_weibull.csv", row.names = FALSE, quote = FALSE)
print(out)
