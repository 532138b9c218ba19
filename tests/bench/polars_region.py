#!/usr/bin/env python3
"""A region by a general data frame that knows nothing of hail: the simplified job in columns, on two threads.

    pip install polars==2.1.0          # measured with this one on Python 3.11
    python3 polars_region.py COUNTS.csv --out DIR [--check CARS_CSV]

What it does: reads the CSV (`,`, the panels' and metals' own words, columns in any order), takes the class with the
most dents on every row (a tie to the larger), the amount of its band from the grid in data/cards/coins.toml, the
uplifts for aluminium and high-strength steel and, where a column says the body, for a tall roof, each rounded by
itself; adds up by car; takes 7 % off the dents of a car, rounded. Amounts are whole cents throughout, written as
decimals. Writes cars and the totals by panel (before the 7 %) and by payer, where a column says who pays, as CSV and
Parquet. It streams: the engine that holds all rows took twice as long and twice the memory.

`--check` compares panels, dents and dents_amount of every car with hailyard's cars.csv, and of every panel of the
storm with the totals.csv beside it. All are equal, to the cent, for the shapes plain, shuffled and scattered, where no
car is raised to the minimum; for payers the panels are equal, and the cars differ by the tiers that their payer
reached. Where oversize dents were counted, or only a lot list says the body, the job leaves out what counts.

What the simplified job leaves out stands in duckdb_region.py; it is the same here.
"""

import os

os.environ["POLARS_MAX_THREADS"] = "2"  # before the engine starts

from decimal import Decimal

import polars as pl
from region_runs import (
    BANDS_FROM,
    CLASSES,
    GRID,
    METALS,
    OFF_PERCENT,
    PANELS,
    TALL_BODIES,
    TALL_ROOF_PERCENT,
    UPLIFT_PERCENT,
    header,
    main,
)


def work(counts, out):
    own = {"panel": pl.Enum(PANELS), "metal": pl.Enum(METALS)} | dict.fromkeys(CLASSES, pl.Int32)
    names = header(counts)
    rows = pl.scan_csv(counts, schema={name: own.get(name, pl.String) for name in names})
    dime, nickel, quarter, half = map(pl.col, CLASSES)
    grid = (
        pl.when((half >= dime) & (half >= nickel) & (half >= quarter)).then(band(3))
        .when((quarter >= dime) & (quarter >= nickel)).then(band(2))
        .when(nickel >= dime).then(band(1))
        .otherwise(band(0))
    )
    uplift = sum(
        pl.when(pl.col("metal") == metal).then(share(pl.col("grid"), percent)).otherwise(0)
        for metal, percent in UPLIFT_PERCENT.items()
    )
    if "body" in names:
        tall = (pl.col("panel") == "roof") & pl.col("body").is_in(TALL_BODIES)
        uplift += pl.when(tall).then(share(pl.col("grid"), TALL_ROOF_PERCENT)).otherwise(0)
    payer = ["payer"] if "payer" in names else []
    lines = (
        rows.with_columns(dents=pl.sum_horizontal(CLASSES))
        .with_columns(grid=grid)
        .select("stock", "panel", "dents", *payer, cents=pl.col("grid") + uplift)
    )
    sums = [
        (pl.col("dents") > 0).sum().alias("panels"),
        pl.col("dents").cast(pl.Int64).sum(),
        pl.col("cents").cast(pl.Int64).sum(),
    ]
    # Both go over the file together.
    cars, panels = pl.collect_all(
        [
            lines.group_by("stock").agg(*(pl.col(name).first() for name in payer), *sums).sort("stock"),
            lines.group_by("panel").agg(*sums).sort("panel"),
        ],
        engine="streaming",
    )
    cars = cars.with_columns(pl.col("cents") - share(pl.col("cents"), OFF_PERCENT))
    columns = panels.columns[1:]
    totals = panels.select(pl.lit("panel").alias("by"), pl.col("panel").cast(pl.String).alias("key"), *columns)
    if payer:
        added = cars.group_by("payer").agg(pl.col("panels", "dents", "cents").sum()).sort("payer")
        totals.extend(added.select(pl.lit("payer").alias("by"), pl.col("payer").alias("key"), *columns))
    for name, table in [("cars", cars), ("totals", totals)]:
        amount = pl.col("cents").cast(pl.Decimal(18, 2)) / 100
        table = table.select(pl.exclude("cents"), dents_amount=amount.cast(pl.Decimal(18, 2)))
        table.write_csv(f"{out}/{name}.csv")
        table.write_parquet(f"{out}/{name}.parquet")


def band(size):
    """The cents in a class by the dents in all."""
    cents = pl.lit(0)
    for first, amount in zip(BANDS_FROM, GRID[size]):
        cents = pl.when(pl.col("dents") >= first).then(amount).otherwise(cents)
    return cents.cast(pl.Int32)


def share(cents, percent):
    """So many percent of whole cents that are not below 0, a half going up."""
    thousandths = int(Decimal(percent) * 1000)
    return (cents.cast(pl.Int64) * thousandths + 50_000) // 100_000


if __name__ == "__main__":
    main("polars " + pl.__version__, work)
