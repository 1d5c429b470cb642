# Average run lengths of Bernoulli CUSUM charts by an implementation that is not
# ours: arlCusum of the R package surveillance (Hoehle, Comput. Stat. 22, 2007), a
# Markov chain for CUSUMs of binomial counts after Hawkins & Olwell 1998, with
# counts of one trial each. In its units an event adds 1 - k and none takes k off,
# and the chart signals at h: k = down/(up + down), h = limit/(up + down).
#
#     Rscript bernoulli_surveillance.R > bernoulli_surveillance.csv
suppressMessages(library(surveillance))

charts <- rbind(
  c(0.01, 49, 1, 150), c(0.03, 49, 1, 150),
  c(0.02, 24, 1, 75), c(0.06, 24, 1, 75),
  c(0.04, 19, 1, 40), c(0.04, 19, 1, 60), c(0.12, 19, 1, 60),
  c(0.05, 9, 1, 30), c(0.10, 9, 1, 30), c(0.30, 9, 1, 30),
  c(0.10, 17, 3, 80), c(0.25, 4, 1, 13), c(0.30, 3, 2, 12), c(0.50, 1, 4, 9)
)
cat("p,up,down,limit,anss\n")
for (i in seq_len(nrow(charts))) {
  c <- charts[i, ]
  n <- c[2] + c[3]
  arl <- arlCusum(h = c[4] / n, k = c[3] / n, theta = c[1], distr = "binomial", digits = 3, n = 1)$ARL
  cat(sprintf("%g,%d,%d,%d,%.12g\n", c[1], c[2], c[3], c[4], arl))
}
