# Random sessions and what base R makes of them, for reference_sessions_test.cpp. Writes to standard output:
#   Rscript tests/outside/reference_sessions.R > tests/outside/reference_sessions.txt
# Written from the formulas in core/stats/budget.h and comparison.h, with R's own mean, sd, quantile, mad, qt and pbinom.
set.seed(20301, kind = "Mersenne-Twister", normal.kind = "Inversion", sample.kind = "Rejection")
sessions <- 120
write_line <- function(...) cat(paste(vapply(list(...), function(x) if (is.numeric(x)) paste(sprintf("%.17g", x), collapse = " ") else as.character(x), ""), collapse = " "), "\n", sep = "")

variance_floor <- function(trials) mean((trials$press^2 + trials$response^2) / 12)

phase_square <- function(trials, weight) {
  standing <- 0
  for (capture in unique(trials$capture)) {
    here <- trials$capture == capture
    if (!all(trials$swept[here]))
      standing <- standing + sum(weight[here])^2 * mean(trials$response[here]^2) / 12
  }
  standing
}

# Scatter with its degrees of freedom, phase, and the weight of every error source, over trials or over runs.
over_trials <- function(trials, shares) {
  n <- nrow(trials)
  square <- max(if (n >= 2) var(trials$delay) else 0, variance_floor(trials))
  list(basis = "trials", estimate = mean(trials$delay), scatter = square / n, dof = n - 1,
       phase = phase_square(trials, rep(1 / n, n)), weights = colMeans(shares))
}
over_runs <- function(trials, shares) {
  means <- tapply(trials$delay, trials$run, mean)
  r <- length(means)
  weight <- 1 / (r * as.vector(table(trials$run)[as.character(trials$run)]))
  own <- all(tapply(trials$run, trials$capture, function(x) length(unique(x))) == 1)
  list(basis = "runs", estimate = mean(means), scatter = var(as.vector(means)) / r, dof = r - 1,
       phase = if (own) 0 else phase_square(trials, weight), weights = colSums(shares * weight))
}
bases <- function(trials, shares) {
  found <- list(over_trials(trials, shares))
  if (length(unique(trials$run)) >= 4)
    found[[2]] <- over_runs(trials, shares)
  found
}
# JCGM 100:2008, G.4.1
combined <- function(own, phases, shared, shared_dof) {
  variance <- sum(own[, 1]) + sum(phases) + sum(shared)
  squares <- c(own[, 1], shared); dofs <- c(own[, 2], shared_dof)
  finite <- squares > 0 & is.finite(dofs)
  below <- sum(squares[finite]^2 / dofs[finite])
  list(u = sqrt(variance), dof = if (below > 0) variance^2 / below else Inf)
}
half_width <- function(found, level) qt((1 + level) / 2, found$dof) * found$u

for (number in 1:sessions) {
  level <- sample(c(0.9, 0.95, 0.99), 1)
  comparisons <- sample(1:5, 1)
  scale <- sample(c(1e-6, 1e-3, 1, 1, 1, 1e3, 1e6), 1)
  kind <- number %% 6 # ties, constant, two trials, smooth, skewed, large offset
  source_u <- runif(3, 0, 0.003); source_dof <- sample(c(Inf, Inf, 4, 17.5), 3, replace = TRUE)
  write_line("session", number, "level", level, "comparisons", comparisons)
  for (i in 1:3) write_line("source", i, source_u[i], source_dof[i])
  shared_clock <- sample(c(TRUE, FALSE), 1)
  sides <- list()
  for (side in 0:1) {
    n <- if (kind == 2) 2 else sample(c(1, 3, 4, 5:9, 10:40), 1)
    runs <- min(sample(1:6, 1), n); captures <- sample(runs:min(n, runs + 2), 1)
    interval <- scale * sample(c(1, 1000 / 480, 1000 / 240), 1)
    delay <- switch(as.character(kind),
      "0" = interval * round(rnorm(n, 20, 2)), "1" = rep(31.25 * scale, n), "2" = scale * rnorm(n, 40, 5),
      "3" = scale * rnorm(n, 40 + side, 4), "4" = scale * (30 + rexp(n, 0.2)), "5" = scale * (1e6 + rnorm(n)))
    run <- sort(c(seq_len(runs), sample(seq_len(runs), n - runs, replace = TRUE)))
    # A capture either lies within one run or, now and then, holds trials of several.
    capture <- if (runif(1) < 0.7) 100 * side + run else 100 * side + sort(c(seq_len(captures), sample(seq_len(captures), n - captures, replace = TRUE)))
    trials <- data.frame(delay = delay, press = interval, response = interval * sample(c(1, 1, 1, 2), n, replace = TRUE), capture = capture, run = run,
                         swept = capture %in% sample(unique(capture), sample(0:length(unique(capture)), 1)))
    shares <- matrix(0, n, 3)
    shares[, if (shared_clock) 1 else 1 + side] <- delay
    shares[, 3] <- if (runif(1) < 0.5) interval * runif(1, -0.5, 0.5) else 0
    for (i in seq_len(n))
      write_line("trial", side, trials$delay[i], trials$press[i], trials$response[i], trials$capture[i], trials$run[i], as.integer(trials$swept[i]), shares[i, ])

    ranks <- seq_len(n %/% 2)
    ranks <- ranks[1 - 2 * pbinom(ranks - 1, n, 0.5) >= level]
    sorted <- sort(delay)
    shown <- NULL
    for (basis in bases(trials, shares)) {
      found <- combined(matrix(c(basis$scatter, basis$dof), 1), basis$phase, (basis$weights * source_u)^2, source_dof)
      candidate <- list(basis = basis$basis, estimate = basis$estimate, u = found$u, dof = found$dof, half = if (n >= 2) half_width(found, level) else NaN)
      if (is.null(shown) || candidate$half > shown$half)
        shown <- candidate
    }
    write_line("summary", side, n, mean(delay), if (n >= 2) sd(delay) else NaN, quantile(delay, c(0.25, 0.5, 0.75), type = 7, names = FALSE),
               mad(delay, constant = 1), if (length(ranks)) sorted[max(ranks)] else NaN, if (length(ranks)) sorted[n + 1 - max(ranks)] else NaN)
    write_line("mean", side, shown$basis, shown$estimate, if (n >= 2) c(shown$u, shown$dof, shown$half) else c(NaN, NaN, NaN))
    sides[[side + 1]] <- list(trials = trials, shares = shares)
  }
  enough <- min(nrow(sides[[1]]$trials), nrow(sides[[2]]$trials)) >= 5
  share <- (1 - level) / comparisons
  widest <- NULL
  if (enough)
    for (one in bases(sides[[2]]$trials, sides[[2]]$shares))
      for (base in bases(sides[[1]]$trials, sides[[1]]$shares)) {
        found <- combined(rbind(c(one$scatter, one$dof), c(base$scatter, base$dof)), c(one$phase, base$phase),
                          ((one$weights - base$weights) * source_u)^2, source_dof)
        half <- half_width(found, 1 - share)
        if (is.null(widest) || half > widest$half)
          widest <- list(estimate = one$estimate - base$estimate, u = found$u, dof = found$dof, half = half,
                         same = half_width(found, 1 - 2 * share), least = (qt(1 - share / 2, found$dof) + qt(0.8, found$dof)) * found$u)
      }
  if (is.null(widest))
    write_line("difference", mean(sides[[2]]$trials$delay) - mean(sides[[1]]$trials$delay), rep(NaN, 5))
  else
    write_line("difference", widest$estimate, widest$u, widest$dof, widest$half, widest$same, widest$least)
}
