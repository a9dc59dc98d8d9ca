# A hundred random sessions and what R makes of them, for reference_test.cpp. Writes the table to standard output:
#   Rscript tests/outside/reference.R > tests/outside/reference.txt
# R's own functions where there are any (mean, sd, quantile, mad, qt, qbinom, wilcox.test, cor.test, fisher.test); budgets
# after JCGM 100:2008 are written out here from the text of core/stats/budget.h, not from its code.
suppressWarnings(RNGversion("4.0.0"))
set.seed(20260301)
show <- function(x) ifelse(is.na(x), "NA", sprintf("%.17g", x))
say <- function(...) cat(..., "\n", sep = " ")

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
  found <- list(part(d, rep(1 / n, n), mean(d$delay), sqrt(s2 / n), n - 1, TRUE))
  runs <- split(d$delay, d$run)
  if (length(runs) >= 4) {
    means <- sapply(runs, mean)
    w <- 1 / (length(runs) * as.vector(table(d$run)[as.character(d$run)]))
    own <- all(tapply(d$run, d$capture, function(r) length(unique(r))) == 1)
    found[[2]] <- part(d, w, mean(means), sd(means) / sqrt(length(means)), length(means) - 1, !own)
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
        if (is.null(best) || one[5] > best[5]) best <- one
      }
    say("difference", show(best))
  }
  exact <- !anyDuplicated(c(a, b)) && max(length(a), length(b)) < 50
  p <- if (all(c(a, b) == a[1])) 1 else suppressWarnings(wilcox.test(a, b, exact = exact, correct = TRUE)$p.value)
  say("ranks", show(c(sum(outer(a, b, ">")) + sum(outer(a, b, "==")) / 2, min(p, 1), median(outer(a, b, "-")))))
}
