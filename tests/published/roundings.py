"""Writes roundings.csv: 1,000 numbers rounded by Python's `decimal` module.

Seeded, so it writes the same file again: python3 roundings.py > roundings.csv
"""

import random
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

random.seed(2026)
print("value,places,half_up,half_even")
for n in range(1000):
    places = random.randrange(4)
    grain = Decimal(1).scaleb(-places)
    whole = random.randrange(0, 10 ** random.randrange(1, 8))
    kind = n % 4
    if kind == 0:  # an exact tie
        value = (Decimal(whole) + Decimal("0.5")) * grain
    elif kind == 1:  # a hair beside a tie
        hair = Decimal(random.choice([-1, 1])).scaleb(-random.randrange(6, 18))
        value = (Decimal(whole) + Decimal("0.5")) * grain + hair
    else:
        value = Decimal(random.randrange(10**9)).scaleb(-random.randrange(2, 9))
    if random.random() < 0.4:
        value = -value

    def rounded(rule):
        result = value.quantize(grain, rounding=rule)
        return f"{abs(result) if result == 0 else result:f}"

    print(f"{value:f},{places},{rounded(ROUND_HALF_UP)},{rounded(ROUND_HALF_EVEN)}")
