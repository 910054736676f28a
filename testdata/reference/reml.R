# Reference values of audit/study: REML of unbalanced studies.
#   Rscript reml.R        (R 4.2.2, lme4 1.1.31; run in this folder; writes reml.csv and reml-data.csv)
# The studies are drawn by set.seed, and rounded to the digits that reml-data.csv
# has before they are fitted; the last takes cells out of study-10x3x3.csv.
library(lme4)
draw <- function(seed, p, m, n, so, sm, si, se, drop) {
  set.seed(seed)
  d <- expand.grid(trial = 1:n, mark = 1:m, by = 1:p)
  o <- rnorm(p, 0, so); k <- rnorm(m, 0, sm); i <- matrix(rnorm(p * m, 0, si), p)
  d$value <- round(o[d$by] + k[d$mark] + i[cbind(d$by, d$mark)] + rnorm(nrow(d), 0, se), 3)
  d[-sample(nrow(d), drop), ]
}
msa <- read.csv("study-10x3x3.csv", comment.char = "#")
msa <- data.frame(trial = msa$trial, mark = as.integer(msa$part), by = as.integer(factor(msa$appraiser)), value = msa$value)
sets <- list(
  holes    = draw(1, 6, 5, 3, 0.20, 0.40, 0.10, 0.10, 17),
  cells    = draw(2, 5, 6, 2, 0.10, 0.30, 0.05, 0.08, 25),
  nospread = draw(3, 4, 7, 3, 0.00, 0.20, 0.04, 0.10, 21),
  strong   = draw(4, 8, 3, 3, 0.30, 0.10, 0.20, 0.05, 20),
  msa      = msa[-c(1, 2, 3, 14, 20, 33, 34, 35, 50, 61, 77, 90), ])
singles <- subset(draw(5, 5, 5, 1, 0.2, 0.3, 0, 0.1, 4), TRUE)
onemark <- draw(6, 6, 1, 4, 0.2, 0, 0, 0.1, 7)
oneperson <- draw(7, 1, 6, 4, 0, 0.3, 0, 0.1, 7)
f <- function(x) formatC(x, digits = 12, format = "g", width = 1)
out <- "# source: computed by reml.R beside this file with R 4.2.2 and lme4 1.1.31; standard deviations and REML criterion"
out <- c(out, "set,person,mark,interaction,repeatability,criterion")
data <- c("# source: drawn by reml.R beside this file", "set,by,mark,trial,value")
control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10, rhobeg = 1e-2, maxfun = 1e5), check.conv.singular = "ignore", calc.derivs = FALSE)
fit <- function(name, d, formula) {
  d$by <- factor(d$by); d$mark <- factor(d$mark)
  r <- lmer(formula, d, REML = TRUE, control = control)
  v <- as.data.frame(VarCorr(r)); s <- setNames(v$sdcor, v$grp)
  g <- function(x) if (x %in% names(s)) f(s[[x]]) else ""
  out <<- c(out, paste(name, g("by"), g("mark"), g("by:mark"), g("Residual"), f(REMLcrit(r)), sep = ","))
  data <<- c(data, paste(name, d$by, d$mark, d$trial, d$value, sep = ","))
}
for (n in names(sets)) fit(n, sets[[n]], value ~ 1 + (1 | by) + (1 | mark) + (1 | by:mark))
fit("singles", singles, value ~ 1 + (1 | by) + (1 | mark))
fit("onemark", onemark, value ~ 1 + (1 | by))
fit("oneperson", oneperson, value ~ 1 + (1 | mark))
writeLines(out, "reml.csv"); writeLines(data, "reml-data.csv")
