# A hundred random sessions, a hundred more in blocks, and what R makes of them, for reference_test.cpp. Needs mvtnorm. Writes
# the table to standard output:
#   Rscript tests/outside/reference.R > tests/outside/reference.txt
# R's own functions where there are any (mean, sd, quantile, mad, qt, qbinom, wilcox.test, cor.test, aov); budgets after JCGM
# 100:2008, differences and blocks are written out here from the text of core/stats/budget.h, comparison.h and blocks.h,
# not from their code. Dunnett's factor is R's own integrate() over
# probabilities of the scatter, held against mvtnorm.
suppressMessages(library(mvtnorm))
suppressWarnings(RNGversion("4.0.0"))
set.seed(20260301)
show <- function(x) ifelse(is.na(x), "NA", sprintf("%.17g", x))
say <- function(...) cat(..., "\n", sep = " ")

dunnett.coverage <- function(d, nu, k, rho) {
  z <- seq(-8.5, 8.5, length.out = 171) # sums of what falls off like a normal density are good to all digits
  within <- function(w) colSums(dnorm(z) * (pnorm(outer(sqrt(rho) * z, w, "+") / sqrt(1 - rho))
    - pnorm(outer(sqrt(rho) * z, w, "-") / sqrt(1 - rho)))^k) * (z[2] - z[1])
  if (is.infinite(nu)) return(within(d))
  integrate(function(p) within(d * sqrt(qchisq(p, nu) / nu)), 0, 1, rel.tol = 1e-9, subdivisions = 500)$value
}
dunnett <- function(level, nu, k, rho) {
  least <- qt(1 - (1 - level) / 2, nu)
  if (k == 1) return(least)
  uniroot(function(d) dunnett.coverage(d, nu, k, rho) - level, c(least, qt(1 - (1 - level) / 2 / k, nu)), tol = 1e-9)$root
}
# mvtnorm takes whole degrees of freedom, and its method is a lottery: held against it to what that gives.
for (nu in c(5, 20)) {
  five <- matrix(0.4, 5, 5) + diag(0.6, 5)
  d <- qmvt(0.95, tail = "both.tails", df = nu, corr = five, algorithm = GenzBretz(1e5, 1e-4, 0))$quantile
  stopifnot(abs(d - dunnett(0.95, nu, 5, 0.4)) < 0.01)
}

side <- function(run.count, scale, kind, capture.from, own.source) {
  n <- switch(kind, two = 2, constant = sample(2:12, 1), sample(3:40, 1))
  run <- rep_len(seq_len(run.count), n)
  capture <- capture.from + if (runif(1) < 0.5) run else rep(1, n)
  if (runif(1) < 0.3) capture[seq_len(ceiling(n / 3))] <- capture.from + 1 # captures that hold uneven numbers
  delay <- scale * switch(kind,
    constant = rep(round(runif(1, 20, 90), 1), n),
    ties = sample(30:36, n, TRUE),
    50 + rnorm(run.count, 0, 2)[run] + rgamma(n, 3))
  press <- scale * sample(c(0, 0.5, 1, 2), n, TRUE)
  response <- scale * c(0.5, 1, 2)[1 + capture %% 3]
  swept <- capture %% 4 == 0
  data.frame(delay, press, response, capture, run, swept, shared = delay, own = delay, own.source)
}

# Standard uncertainty and degrees of freedom of lines (Welch and Satterthwaite, JCGM 100 G.4.1).
combine <- function(u, dof) {
  below <- sum((u^4 / dof)[u > 0 & is.finite(dof)])
  c(sqrt(sum(u^2)), if (below > 0) sum(u^2)^2 / below else Inf)
}

# Own parts of a mean with the weights w of its trials: scatter and phase; sums of sensitivities by source.
part <- function(d, w, estimate, scatter, dof, with.phase) {
  phase <- 0
  for (one in split(data.frame(d, w), d$capture))
    if (with.phase && !all(one$swept)) phase <- phase + sum(one$w)^2 * mean(one$response^2) / 12
  weights <- c(0, 0, 0)
  weights[1] <- sum(w * d$shared)
  weights[d$own.source[1]] <- sum(w * d$own)
  list(estimate = estimate, u = c(scatter, sqrt(phase)), dof = c(dof, Inf), weights = weights)
}

bases <- function(d) {
  n <- nrow(d)
  floor <- mean((d$press^2 + d$response^2) / 12)
  s2 <- max(if (n > 1) var(d$delay) else 0, floor)
  runs <- split(d$delay, d$run)
  w <- rep(1 / n, n)
  if (length(runs) >= 4) w <- 1 / (length(runs) * as.vector(table(d$run)[as.character(d$run)]))
  estimate <- sum(w * d$delay)
  found <- list(part(d, w, estimate, sqrt(s2 * sum(w^2)), n - 1, TRUE))
  if (length(runs) >= 4) {
    means <- sapply(runs, mean)
    own <- all(tapply(d$run, d$capture, function(r) length(unique(r))) == 1)
    found[[2]] <- part(d, w, estimate, sd(means) / sqrt(length(means)), length(means) - 1, !own)
  }
  found
}

interval <- function(estimate, u, dof, level) {
  all <- combine(u, dof)
  factor <- qt(1 - (1 - level) / 2, all[2])
  c(estimate, all, factor, factor * all[1])
}

for (i in 1:100) {
  kinds <- c("two", "constant", "ties", "smooth", "smooth", "ties")
  scale <- if (i %% 10 == 0) 10^runif(1, -6, 6) else 1
  runs <- sample(1:6, 1)
  level <- sample(c(0.9, 0.95, 0.99), 1)
  k <- sample(1:5, 1)
  source.u <- c(0.01, 0.02, 0.005) * runif(3)
  source.dof <- sample(c(3, 8.5, Inf), 3, TRUE)
  sides <- list(side(runs, scale, sample(kinds, 1), 0, 2), side(sample(1:6, 1), scale, sample(kinds, 1), 10, 3))
  if (i %% 3 == 0) sides[[2]]$own.source <- 2 # one clock of their own in common
  say("session", i, show(level), k)
  for (j in 1:3) say("source", j, show(source.u[j]), if (is.finite(source.dof[j])) show(source.dof[j]) else "inf")
  parts <- list()
  for (s in 1:2) {
    d <- sides[[s]]
    for (j in seq_len(nrow(d)))
      say("trial", s, show(d$delay[j]), show(d$press[j]), show(d$response[j]), d$capture[j], d$run[j], as.integer(d$swept[j]), d$own.source[j])
    x <- d$delay
    n <- length(x)
    q <- quantile(x, c(0.25, 0.5, 0.75), type = 7, names = FALSE)
    r <- qbinom((1 - level) / 2, n, 0.5) # the largest rank with 2 P(X < r) <= 1 - level
    ends <- if (r >= 1) sort(x)[c(r, n + 1 - r)] else c(NA, NA)
    say("summary", s, show(c(mean(x), sd(x), q, min(x), max(x), mad(x, constant = 1), ends)))
    parts[[s]] <- bases(d)
    for (b in parts[[s]])
      say("mean", s, show(interval(b$estimate, c(b$u, source.u * abs(b$weights)), c(b$dof, source.dof), level)))
    steps <- outer(seq_len(n), seq_len(n), function(a, b) ifelse(b > a, (x[b] - x[a]) / (b - a), NA))
    rises <- sum(sign(steps), na.rm = TRUE)
    t <- table(x)
    variance <- (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5))) / 18
    exact <- !anyDuplicated(x) && n <= 10
    p <- if (all(x == x[1])) 1 else suppressWarnings(cor.test(seq_len(n), x, method = "kendall", exact = exact, continuity = TRUE)$p.value)
    say("trend", s, show(c(rises, variance, min(p, 1), median(steps, na.rm = TRUE))))
  }
  a <- sides[[1]]$delay
  b <- sides[[2]]$delay
  if (min(length(a), length(b)) >= 5) {
    best <- NULL
    for (mine in parts[[1]])
      for (base in parts[[2]]) {
        one <- interval(mine$estimate - base$estimate, c(mine$u, base$u, source.u * abs(mine$weights - base$weights)),
                        c(mine$dof, base$dof, source.dof), 1 - (1 - level) / k)
        if (is.null(best) || one[5] > best[5]) {
          best <- one
          own <- c(sum(mine$u^2), sum(base$u^2))
        }
      }
    rho <- if (sum(own) > 0) min(0.5, own[2] / sum(own)) else 0 # of one by itself its own lambda squared
    best[4] <- dunnett(level, best[3], k, rho)
    best[5] <- best[4] * best[2]
    say("difference", show(best))
  }
  exact <- !anyDuplicated(c(a, b)) && max(length(a), length(b)) < 50
  p <- if (all(c(a, b) == a[1])) 1 else suppressWarnings(wilcox.test(a, b, exact = exact, correct = TRUE)$p.value)
  say("ranks", show(c(sum(outer(a, b, ">")) + sum(outer(a, b, "==")) / 2, min(p, 1), median(outer(a, b, "-")))))
}

# Sessions in complete blocks: K configurations, the first the baseline, a run of each in each block, sometimes two of the
# baseline. Every run a capture of its own, one clock for all and a second for some.
for (i in 1:100) {
  K <- sample(3:7, 1)
  r <- sample(4:8, 1)
  level <- sample(c(0.9, 0.95, 0.99), 1)
  k <- K - 1 + sample(0:2, 1)
  drift <- rnorm(r, 0, sample(c(0, 2, 4), 1))
  source.u <- c(0.01, 0.005) * runif(2)
  source.dof <- sample(c(4, Inf), 2, TRUE)
  say("family", i, show(level), k, K)
  for (j in 1:2) say("source", j, show(source.u[j]), if (is.finite(source.dof[j])) show(source.dof[j]) else "inf")
  y <- matrix(0, K, r)
  counting <- numeric(K)
  part <- numeric(K)
  weights <- matrix(0, K, 2)
  run <- 0
  for (c in 1:K) {
    shift <- sample(c(0.1, 0.5, 3), 1)
    own.source <- sample(1:2, 1)
    reciprocals <- 0; floors <- c()
    for (j in 1:r) {
      runs <- if (c == 1 && i %% 4 == 0) 1 + j %% 2 else 1
      means <- c()
      for (one in 1:runs) {
        run <- run + 1
        n <- sample(if (i %% 5 == 0) 1 else 1:6, 1)
        interval.ms <- sample(c(0, 1, 4), 1)
        delay <- 40 + 2 * c + drift[j] + rnorm(1, 0, shift) + rnorm(n, 0, 1.5)
        for (x in delay) say("blocktrial", c, show(x), interval.ms, run, j, own.source)
        means <- c(means, mean(delay))
        reciprocals <- reciprocals + 1 / n / runs^2
        floors <- c(floors, rep(interval.ms^2 / 6, n))
      }
      y[c, j] <- mean(means)
      part[c] <- part[c] + 1 / runs / r
    }
    counting[c] <- mean(floors) * reciprocals / r
    weights[c, own.source] <- mean(y[c, ])
  }
  table <- data.frame(y = as.vector(y), configuration = factor(rep(1:K, r)), block = factor(rep(1:r, each = K)))
  fit <- aov(y ~ configuration + block, table)
  e <- matrix(residuals(fit), K, r)
  q <- rowSums(e^2) / (r - 1)
  v <- K / (K - 2) * (q - sum(q) / (K * (K - 1)))
  say("residual", show(summary(fit)[[1]]["Residuals", "Mean Sq"]), show(v))
  together <- max(summary(fit)[[1]]["Residuals", "Mean Sq"], mean(counting)) * part / mean(part)
  own <- pmax(v, 0)
  lambda <- sort(sqrt(together[1] / (together[1] + together[-1])))
  rho <- min(0.5, lambda[1] * lambda[2])
  for (c in 2:K) {
    shared <- source.u * abs(weights[c, ] - weights[1, ])
    half.dof <- (r - 1) * (K - 1) / 2
    all <- combine(c(sqrt(c(together[c], together[1]) / r), shared), c(half.dof, half.dof, source.dof))
    alone <- combine(c(sqrt(c(own[c], own[1]) / r), shared), c(r - 1, r - 1, source.dof))
    factor <- dunnett(level, all[2], k, rho)
    share <- if (k == 1) 1 else 1.75 / (k + 1) + 1.2 / r
    student <- qt(1 - (1 - level) * share / 2, alone[2])
    by.own <- student * alone[1] > factor * all[1]
    if (by.own) { all <- alone; factor <- student }
    say("blockdifference", c, show(c(mean(y[c, ]) - mean(y[1, ]), all, factor, factor * all[1], rho)), as.integer(by.own))
  }
}
