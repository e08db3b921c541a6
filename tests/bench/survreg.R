# Fits the rows of a file of doubles (columns one after the other: lower, upper, weight, four covariates) with survreg and
# prints one line: seconds elapsed and of the processor, steps, log-likelihood, coefficients, scale. Only the fit is timed.
library(survival)
file <- commandArgs(TRUE)[1]
x <- matrix(readBin(file, "double", file.size(file) / 8), ncol = 7)
rows <- data.frame(lower = ifelse(x[, 1] == 0, NA, x[, 1]), upper = ifelse(is.infinite(x[, 2]), NA, x[, 2]),
                   weight = x[, 3], a = x[, 4], b = x[, 5], c = x[, 6], d = x[, 7])
rm(x)
invisible(gc())
if (all(rows$weight == 1)) {
  took <- system.time(fit <- survreg(Surv(lower, upper, type = "interval2") ~ a + b + c + d, data = rows))
} else {
  took <- system.time(fit <- survreg(Surv(lower, upper, type = "interval2") ~ a + b + c + d, data = rows, weights = weight))
}
cat(sprintf("%.17g", c(took[["elapsed"]], took[["user.self"]] + took[["sys.self"]], fit$iter, fit$loglik[2], coef(fit),
                       fit$scale)), sprintf("%s", packageVersion("survival")), "\n")
