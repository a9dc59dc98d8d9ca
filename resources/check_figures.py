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


def mean_of(trials, basis):
    if basis == "runs":  # every run weighs alike
        runs = {}
        for trial in trials:
            if trial["run"]:
                runs.setdefault(trial["run"], []).append(float(trial["delay (ms)"]))
        return statistics.fmean(statistics.fmean(run) for run in runs.values())
    return statistics.fmean(float(trial["delay (ms)"]) for trial in trials)


wrong = 0


def compare(name, what, published, found):
    global wrong
    if published == "" or found is None:
        return
    same = math.isclose(float(published), found, rel_tol=1e-9, abs_tol=1e-9)
    wrong += not same
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
    means[name] = mean_of(trials, result["mean basis"])
    compare(name, "mean, ms:", result["mean (ms)"], means[name])
    delays = [float(trial["delay (ms)"]) for trial in trials]
    compare(name, "SD, ms:", result["SD (ms)"], statistics.stdev(delays) if len(delays) > 1 else None)

baseline = next((cell(result["configuration"]) for result in results if result["baseline"] == "yes"), None)
for result in results:
    name = cell(result["configuration"])
    if baseline in means and name in means and name != baseline:
        compare(name, f"minus {baseline}, ms:", result["difference (ms)"], means[name] - means[baseline])

print("Every figure agrees." if wrong == 0 else f"{wrong} figures differ.")
sys.exit(1 if wrong else 0)
