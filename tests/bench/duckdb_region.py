#!/usr/bin/env python3
"""A region by a general engine that knows nothing of hail: the simplified job in SQL, on two threads.

    pip install duckdb==2.0.1          # measured with this one on Python 3.11
    python3 duckdb_region.py COUNTS.csv --out DIR [--check CARS_CSV]

What it does: reads the CSV (`,`, the panels' and metals' own words, columns in any order), takes the class with the
most dents on every row (a tie to the larger), the amount of its band from the grid in data/cards/coins.toml, the
uplifts for aluminium and high-strength steel and, where a column says the body, for a tall roof, each rounded by
itself; adds up by car; takes 7 % off the dents of a car, rounded. Amounts are DECIMAL throughout. Writes cars and the
totals by panel (before the 7 %) and by payer, where a column says who pays, as CSV and Parquet.

`--check` compares panels, dents and dents_amount of every car with hailyard's cars.csv, and of every panel of the
storm with the totals.csv beside it. All are equal, to the cent, for the shapes plain, shuffled and scattered, where no
car is raised to the minimum; for payers the panels are equal, and the cars differ by the tiers that their payer
reached. Where oversize dents were counted, or only a lot list says the body, the job leaves out what counts.

What the simplified job leaves out:
- every problem by file, row, column, what was found and what was probably meant: a cell that does not fit ends the run
- rows of the same car and panel twice (added up here, refused there), two facts of one car that differ (any is taken),
  more than 9,999 dents, cars left out as a whole, a count far from its neighbours'
- any card but this one: other grids, other rules for mixed sizes, rounding or uplifts, limits, hours; here they are SQL
- oversize dents, what is removed (listed or by itself), parts, extras, referred panels, agreed amounts, quotes
- minimum, tax, lot tiers of each payer, deductibles, event maxima, who pays what, flags; so `total` is not here
- the lot list, blank stocks, blank counts, other words and spellings, encodings, delimiters, titles above the header,
  comments, workbooks
- the order of the lot: cars come out by stock
"""

from decimal import Decimal

import duckdb
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
    db = duckdb.connect(config={"threads": 2, "preserve_insertion_order": False})
    for name, words in [("panel_word", PANELS), ("metal_word", METALS)]:
        db.execute(f"CREATE TYPE {name} AS ENUM ({', '.join(map(quoted, words))})")
    own = {"panel": "panel_word", "metal": "metal_word"} | dict.fromkeys(CLASSES, "INTEGER")
    names = header(counts)
    types = {name: own.get(name, "VARCHAR") for name in names}
    payer = "any_value(payer)" if "payer" in names else "NULL"
    tall = "NULL"
    if "body" in names:
        tall = f"panel = 'roof' AND body IN ({', '.join(map(quoted, TALL_BODIES))})"
    # Cars and panels in one go over the file: grouping sets spare a table of all rows.
    db.execute(f"""
        CREATE TEMP TABLE sums AS
        WITH counted AS (
            SELECT *, "half-dollar" AS half, dime + nickel + quarter + half AS counted
            FROM read_csv(?, header = true, delim = ',', quote = '"', auto_detect = false, columns = {types})
        ), lines AS (
            SELECT *, CASE
                WHEN half >= greatest(dime, nickel, quarter) THEN {band(3)}
                WHEN quarter >= greatest(dime, nickel) THEN {band(2)}
                WHEN nickel >= dime THEN {band(1)}
                ELSE {band(0)} END AS amount,
                {metal_part()} AS metal_part,
                CASE WHEN {tall} THEN {hundredths(TALL_ROOF_PERCENT)} ELSE 0.000 END AS roof_part
            FROM counted
        )
        SELECT stock, panel, {payer} AS payer,
            count(*) FILTER (counted > 0) AS panels,
            sum(counted) AS dents,
            coalesce(sum(amount + round(amount * metal_part, 2) + round(amount * roof_part, 2)), 0) AS before
        FROM lines
        GROUP BY GROUPING SETS ((stock), (panel))
    """, [counts])
    off = hundredths(OFF_PERCENT)
    db.execute(f"""
        CREATE TEMP TABLE cars AS
        SELECT stock, payer, panels, dents, (before - round(before * {off}, 2))::DECIMAL(18, 2) AS dents_amount
        FROM sums WHERE panel IS NULL ORDER BY stock
    """)
    db.execute("""
        CREATE TEMP TABLE totals AS
        SELECT 'panel' AS "by", panel::VARCHAR AS key, panels, dents, before::DECIMAL(18, 2) AS dents_amount
        FROM sums WHERE panel IS NOT NULL
        UNION ALL
        SELECT 'payer', payer, sum(panels), sum(dents), sum(dents_amount)
        FROM cars WHERE payer IS NOT NULL GROUP BY payer
    """)
    db.execute("SET preserve_insertion_order = true")
    for table in ["cars", "totals"]:
        db.execute(f"COPY {table} TO '{out}/{table}.csv' (HEADER)")
        db.execute(f"COPY {table} TO '{out}/{table}.parquet' (FORMAT parquet)")


def band(size):
    """The amount in a class by the dents in all; none without dents."""
    steps = reversed(list(zip(BANDS_FROM, GRID[size])))
    cases = " ".join(f"WHEN counted >= {first} THEN {cents // 100}.{cents % 100:02}" for first, cents in steps)
    return f"(CASE {cases} END)::DECIMAL(9, 2)"


def metal_part():
    cases = " ".join(f"WHEN {quoted(metal)} THEN {hundredths(percent)}" for metal, percent in UPLIFT_PERCENT.items())
    return f"CASE metal {cases} ELSE 0.00 END"


def hundredths(percent):
    """As a literal: few digits keep a product in 64 bits."""
    return str(Decimal(percent) / 100)


def quoted(word):
    return f"'{word}'"


if __name__ == "__main__":
    main("duckdb " + duckdb.__version__, work)
