#!/usr/bin/env python3
"""Works out counts, means, standard deviations and differences of results.csv again from trials.csv.

Put it beside both files and run it: python3 check_figures.py [FOLDER]. It needs Python 3 and nothing else.
It prints what it finds and ends with 1 where a figure differs.
"""
import csv
import math
import pathlib
import statistics
import sys

folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).parent


def rows(name):
    with open(folder / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def cell(text):
    """A text cell as it was before it was made safe for spreadsheets."""
    return text[1:] if text.startswith("'") and text[1:2] in ("=", "+", "-", "@") else text


def delay_of(trial):
    return float(trial["delay (ms)"])


def runs_of(trials):
    runs = {}
    for trial in trials:
        runs.setdefault(trial["run"], []).append(trial)
    return runs.values()


wrong = 0
quiet = "share"  # said only where it is wrong


def compare(name, what, published, found):
    global wrong
    if published == "" or found is None:
        return
    same = math.isclose(float(published), found, rel_tol=1e-9, abs_tol=1e-9)
    wrong += not same
    if not same or quiet not in what:
        print(f"{name}: {what} {found:.4f}" + ("" if same else f", but results.csv says {published}"))


counting = {}
for trial in rows("trials.csv"):
    if trial["state"] == "counts":
        counting.setdefault(cell(trial["configuration"]), []).append(trial)

results = rows("results.csv")
means = {}
for result in results:
    name = cell(result["configuration"])
    trials = counting.get(name, [])
    compare(name, "trials", result["trials in the mean"], len(trials))
    if not trials:
        continue
    # From 4 runs on every run (or block of runs) weighs alike, else every trial: the shares say so.
    shares = [float(trial["share of the mean"]) for trial in trials]
    compare(name, "shares, in all:", "1", math.fsum(shares))
    for run in runs_of(trials):
        compare(name, "spread of shares in a run:", "0", max(float(t["share of the mean"]) for t in run)
                - min(float(t["share of the mean"]) for t in run))
    means[name] = math.fsum(share * delay_of(trial) for share, trial in zip(shares, trials))
    compare(name, "mean, ms:", result["mean (ms)"], means[name])
    delays = [delay_of(trial) for trial in trials]
    compare(name, "SD, ms:", result["SD (ms)"], statistics.stdev(delays) if len(delays) > 1 else None)

baseline = next((cell(result["configuration"]) for result in results if result["baseline"] == "yes"), None)
for result in results:
    name = cell(result["configuration"])
    if baseline in means and name in means and name != baseline:
        compare(name, f"minus {baseline}, ms:", result["difference (ms)"], means[name] - means[baseline])

print("Every figure agrees." if wrong == 0 else f"{wrong} figures differ.")
sys.exit(1 if wrong else 0)
