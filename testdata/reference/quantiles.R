# Reference values of audit/internal/stats and of K0 and K1.
#   Rscript quantiles.R | sed "s/,$//" > quantiles.csv      (R 4.2.2)
# qf of R takes F as chi-square above 4e5 degrees of freedom; d2 stays below.
f <- function(...) cat(..., sep = ",", fill = FALSE)
g <- function(x) formatC(x, digits = 16, format = "g", width = 1)
cat("# source: computed by quantiles.R beside this file with R 4.2.2\n")
cat("function,p,d1,d2,value\n")
for (d in c(1, 2, 3.5, 16.75, 50, 999, 9999, 10001, 1e5, 1e6, 1e9, Inf))
  for (p in c(0.4, 0.1, 0.025, 1e-4, 1e-8)) cat("qt", g(p), g(d), 0, g(qt(p, d)), sep = ",", "\n")
for (d in c(1, 2, 7, 40)) for (p in c(0.975, 0.5, 0.05, 0.01, 1e-6))
  cat("qchisq", g(p), g(d), 0, g(qchisq(p, d, lower.tail = FALSE)), sep = ",", "\n")
for (d1 in c(1, 2, 3, 10, 40)) for (d2 in c(1, 2, 3.7, 20, 200, 10000, Inf)) {
  for (p in c(0.9, 0.3, 0.05, 0.01, 1e-4, 1e-12)) cat("qf", g(p), g(d1), g(d2), g(qf(p, d1, d2, lower.tail = FALSE)), sep = ",", "\n")
  for (x in c(0.2, 1, 4, 30, 500)) cat("pf", g(x), g(d1), g(d2), g(pf(x, d1, d2, lower.tail = FALSE)), sep = ",", "\n")
}
for (z in c(1e-8, 1e-3, 0.1, 0.7, 1.5, 2, 2.0001, 3, 5, 8, 13, 40, 150, 600))
  for (nu in 0:1) cat("besselK", g(z), nu, 0, g(besselK(z, nu)), sep = ",", "\n")
