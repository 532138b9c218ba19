"""What the scripts of the simplified job share: the card, the runs by the clock, the comparison with hailyard."""

import argparse
import csv
import os
import sys
import time

# data/cards/coins.toml, in cents: the bench's card.
CLASSES = ["dime", "nickel", "quarter", "half-dollar"]
BANDS_FROM = [1, 5, 10, 20, 35, 55, 80, 110, 150, 200]
GRID = [
    [5200, 6050, 7400, 9800, 13100, 17200, 21940, 27200, 33400, 40500],
    [5800, 6900, 8800, 11800, 15730, 20500, 26200, 32600, 40000, 48400],
    [6600, 8100, 10600, 14300, 19100, 25000, 31800, 39600, 48500, 58800],
    [7700, 9700, 12900, 17600, 23600, 30800, 39200, 48900, 60000, 72600],
]
UPLIFT_PERCENT = {"aluminium": 25, "high-strength": 15}
# 5 % standing and 2 % from 25 cars on: what every larger lot of one payer reaches.
OFF_PERCENT = 7
TALL_ROOF_PERCENT = "12.5"
TALL_BODIES = ["suv", "van", "pickup"]
METALS = ["steel", "aluminium", "high-strength"]
# The panels' own words, in their order.
PANELS = (
    "hood cowl roof sunroof decklid liftgate tailgate fender-l fender-r pillar-l pillar-r rail-l rail-r "
    "door-fl door-rl door-fr door-rr quarter-l quarter-r cab-l cab-r bed-l bed-r rocker-l rocker-r"
).split()


def header(path):
    """The names of the columns; in a `,` file only."""
    with open(path, encoding="utf-8", newline="") as file:
        return next(csv.reader(file))


def main(name, work):
    """`work(counts, out)` does the whole job once; it runs in a process of its own, so that its memory is its own."""
    options = argparse.ArgumentParser(description=f"The simplified job with {name}, whole process and work alone")
    options.add_argument("counts", help="the CSV of a region, as `cargo bench --bench million -- --write DIR` makes it")
    options.add_argument("--out", default="target/region-out", help="where cars and totals go")
    options.add_argument("--runs", type=int, default=5)
    compare = "compare with the cars.csv, and the totals.csv beside it, that hailyard wrote of the same counts"
    options.add_argument("--check", metavar="CARS_CSV", help=compare)
    options.add_argument("--once", action="store_true", help=argparse.SUPPRESS)
    args = options.parse_args()
    os.makedirs(args.out, exist_ok=True)
    if args.once:
        start = time.perf_counter()
        work(args.counts, args.out)
        print(time.perf_counter() - start)
        return
    runs = []
    for run in range(args.runs):
        runs.append(once(args.counts, args.out))
        print(f"run {run + 1}: {said(runs[-1])}", flush=True)
    kinds = [sorted(kind) for kind in zip(*runs)]
    print(f"{name}, median of {args.runs}: {said([kind[args.runs // 2] for kind in kinds])}")
    print(f"fastest and slowest: {kinds[0][0]:.2f} to {kinds[0][-1]:.2f} s")
    if args.check:
        sys.exit(check(os.path.join(args.out, "cars.csv"), args.check))


def said(figures):
    wall, within, cores, peak = figures
    return f"{wall:.2f} s (without Python's start {within:.2f} s), {cores:.2f} s of processor, peak {peak:.0f} MiB"


def once(counts, out):
    """Seconds of the whole process and of the work, seconds of both processors, peak in MiB (Linux counts in KiB)."""
    read, write = os.pipe()
    command = [sys.executable, sys.argv[0], counts, "--out", out, "--once"]
    start = time.perf_counter()
    child = os.posix_spawn(sys.executable, command, os.environ, file_actions=[(os.POSIX_SPAWN_DUP2, write, 1)])
    os.close(write)
    with os.fdopen(read) as answer:
        within = answer.read()
    _, status, usage = os.wait4(child, 0)
    seconds = time.perf_counter() - start
    if status != 0:
        sys.exit("the run failed")
    return seconds, float(within), usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def check(ours, theirs):
    """Cars with the dents' amount after the discount, panels with theirs before it: 0 if all are equal to the cent."""
    totals = [os.path.join(os.path.dirname(path), "totals.csv") for path in (ours, theirs)]
    cars = same("cars", "stock", table(ours, "stock"), table(theirs, "stock"))
    panels = same("panels of the storm", "key", *(table(path, "key", by="panel") for path in totals))
    return 0 if cars and panels else 1


COMPARED = ["panels", "dents", "dents_amount"]


def table(path, key, by=None):
    with open(path, encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if by in (None, row.get("by"))]
    # What belongs to no panel is the discount, which is in no panel here.
    return {row[key]: tuple(row[name] for name in COMPARED) for row in rows if row[key] != "(car)"}


def same(what, key, ours, theirs):
    differ = [name for name in ours | theirs if ours.get(name) != theirs.get(name)]
    for name in differ[:5]:
        print(f"{key} {name}: here {ours.get(name)}, hailyard {theirs.get(name)}")
    count = len(ours | theirs)
    found = f"NOT equal: {len(differ)} of" if differ else f"equal: {', '.join(COMPARED)} of"
    print(f"{found} {count} {what}")
    return not differ
