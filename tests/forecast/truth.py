#!/usr/bin/env python3
"""Outside truth for the Monte Carlo forecast: invented lots, drawn storms and their ends, by a simulator of its own.

    python3 truth.py write                rewrite every data file beside this script, byte for byte the same each time
    python3 truth.py check                recompute everything and compare; exit 1 on a difference
    python3 truth.py yardstick FOLDER     run factors20.json on storm300.json of FOLDER against its finish20.csv

It is written from the rules alone, shares no code with the program and needs only the standard library (3.9 or newer).
All numbering is from 0: cars by rank (the order listed), people, days, lots, storms. Times are working minutes of the site.

Files (`instance` = day, hands, bays, release, people, cars; day null = one endless day, bays null = no limit)
  cases.json         explicit cases: instance, draws, end, car_ends (null = not done), touches = how often a rule came up
                     draws: closed_days, absent [[person, day]], growth and parts_late (days) per car, pace per person,
                     factors per car [strip, panels..., fit, finish], those of 0 minutes included and unused
  lots.json          40 lots: instance + chance
  truths.csv         25 storms of each lot, drawn from exactly the lot's chance: m ~ N(0, standard_error), no effects
  logged.csv         25 of each lot, m ~ N(0, 0.10), effects ~ N(0, 0.15^2), task factors exp(sigma z) (median 1)
  logs.csv           its work log: 30 finished tasks a storm, ratio = minutes taken / (standard minutes / stated speed)
  other_truth.csv    25 of each lot, sigma x 1.6 and m = ln 1.15 throughout (more than the forecast is told), no effects
  other_logged.csv   the same other truth with effects ~ N(0, 0.15^2) and median-1 factors, other_logs.csv its log
  ends: storm,lot,end,day, day 1 the first; both empty where the lot can't be finished

Readings of the rules where more than one is possible
  - A car offers one panel at a time: if that is too long for a person, the next car is looked at, not its next panel.
  - With release, a car with only fit (no strip, no panels) asks for a bay only when its parts are there.
  - Without a calendar no parts are late (there are no days to be late by).
  - Weather comes before absence: a day that is closed counts as neither waited nor absent.
"""
import heapq
import io
import json
import math
import os
import random
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
TRADES = ("dents", "strip", "finish")           # the order in which a person looks for work
STRIP, PANELS, PARTS, FIT, FINISH, DONE = range(6)
TRADE_OF = ("strip", "dents", None, "strip", "finish", None)
HORIZON = 150                                   # days for which weather and absence are drawn


# ---------------------------------------------------------------- one replication

def run(inst, draws, trace=None):
    """The end of the last task and of each car (None where not done). `trace` (a Trace) takes down what happened."""
    day, hands, people, cars = inst["day"], inst["hands"], inst["people"], inst["cars"]
    closed, absent = set(draws["closed_days"]), {tuple(a) for a in draws["absent"]}
    days = [None if p["days"] is None else set(p["days"]) for p in people]
    final = [None if d is None else max(d, default=-1) for d in days]
    order = sorted(range(len(people)), key=lambda p: (len(people[p]["trades"]), -people[p]["speed"], p))
    # Past this day nothing changes any more: who takes nothing then never will.
    settled = max([-1] + list(closed) + [d for _, d in absent] + [f for f in final if f is not None])

    # Per car: minutes left of each task [strip, panels..., fit, finish], where it stands, and who is on it.
    left = [[c["strip"], *c["panels"], c["fit"], c["finish"]] for c in cars]
    fresh = [[k + 1 for k, m in enumerate(c["panels"]) if m] for c in cars]     # untouched panels, in listed order
    back = [[] for _ in cars]                                                   # panels that went back
    parts = [c["fit_not_before"] + (k * day if k else 0) for c, k in zip(cars, draws["parts_late"])]
    stage, on, ends = [None] * len(cars), [0] * len(cars), [None] * len(cars)
    inside = [inst["bays"] is None] * len(cars)
    bays = inst["bays"]
    busy = [False] * len(people)

    events = [(c["arrives"], "arrive", r, 0, 0) for r, c in enumerate(cars)]
    if day is not None:
        events.append((0, "open", 0, 0, 0))
    heapq.heapify(events)

    def leave_bay(r, t):
        nonlocal bays
        if inside[r] and bays is not None:
            inside[r] = False
            bays += 1
            if trace:
                trace.bay_out(r, t)

    def advance(r, t):
        """Put the car at its next stage with work."""
        if left[r][0]:
            stage[r] = STRIP
        elif fresh[r] or back[r] or (stage[r] == PANELS and on[r]):
            stage[r] = PANELS
        elif left[r][-2]:
            stage[r] = FIT
            if parts[r] > t:
                stage[r] = PARTS
                heapq.heappush(events, (parts[r], "parts", r, 0, 0))
                if trace:
                    trace.touch("parts waited for")
                if inst["release"]:
                    leave_bay(r, t)
        else:
            leave_bay(r, t)
            stage[r] = FINISH if left[r][-1] else DONE

    def span(p, t, minutes):
        """When a task begun at t ends, or when it goes back and the minutes then left; and the spells of work."""
        if day is None:
            return t + minutes, 0, [(t, t + minutes)]
        d = int(t // day)
        rest, start, spells = minutes, t, []
        while True:
            close = (d + 1) * day
            if rest <= close - start:
                spells.append((start, start + rest))
                return start + rest, 0, spells
            spells.append((start, close))
            rest -= close - start
            waited = False                      # each night counts afresh
            note("night")
            while True:
                d += 1
                if d in closed:
                    note("closed day skipped")
                elif days[p] is not None and d not in days[p]:
                    if d > final[p]:
                        note("back: never here again")
                        return d * day, rest, spells
                    note("day off skipped")
                elif (p, d) not in absent:
                    break
                elif waited:
                    note("back: absent twice")
                    return d * day, rest, spells
                else:
                    waited = True
                    note("absent day waited")
            start = d * day

    def note(what):
        if trace:
            trace.touch(what)

    def offer(r):
        """The task of this car that waits now."""
        s = stage[r]
        if s == PANELS:
            if on[r] < hands:
                return back[r][0] if back[r] else fresh[r][0] if fresh[r] else None
            return None
        if on[r]:
            return None
        return 0 if s == STRIP else len(left[r]) - (2 if s == FIT else 1)

    def look(p, t):
        """The task this person takes now: (car, task) or None."""
        mine, speed = people[p]["trades"], people[p]["speed"]
        limit, refused = math.inf, False
        if days[p] is not None and day is not None:
            today = int(t // day)
            limit = (today + 1) * day - t + day * sum(1 for d in days[p] if d > today)
        for trade in TRADES:
            if trade not in mine:
                continue
            for r in range(len(cars)):
                if stage[r] is None or TRADE_OF[stage[r]] != trade or not (inside[r] or stage[r] == FINISH):
                    continue
                k = offer(r)
                if k is None:
                    continue
                expected = left[r][k] * (draws["growth"][r] if trade == "dents" else 1) / speed
                if trace and limit < math.inf:
                    trace.margin(limit - expected)
                if expected <= limit:
                    if trade != next(x for x in TRADES if x in mine):
                        note("later trade taken")
                    if refused:
                        note("too long, took another")
                    return r, k
                refused = True
                note("too long for the days left")
        return None

    def deal(t):
        nonlocal bays
        if bays is not None:
            for r in range(len(cars)):
                wants = stage[r] in (STRIP, PANELS, FIT) or (stage[r] == PARTS and not inst["release"])
                if wants and not inside[r]:
                    if not bays:
                        note("bay waited for")
                        continue
                    inside[r] = True
                    bays -= 1
                    if trace:
                        trace.bay_in(r, t)
        for p in order:
            if busy[p]:
                continue
            if day is not None:
                d = int(t // day)
                if d in closed or (p, d) in absent or (days[p] is not None and d not in days[p]):
                    continue
            task = look(p, t)
            if task is None:
                continue
            r, k = task
            if stage[r] == PANELS:
                if back[r]:
                    back[r].pop(0)
                    if fresh[r]:
                        note("went back, before untouched")
                else:
                    fresh[r].pop(0)
            busy[p] = True
            on[r] += 1
            if on[r] > 1:
                note("%d on a car" % on[r])
            whole = left[r][k] * draws["factors"][r][k] * draws["pace"][p] / people[p]["speed"]
            if stage[r] == PANELS:
                whole *= draws["growth"][r]
                if draws["growth"][r] > 1:
                    note("grown panel")
            until, rest, spells = span(p, t, whole)
            # What goes back keeps its share of the standard minutes.
            remain = left[r][k] * (rest / whole)
            if trace:
                trace.claim(p, r, k, t, until, rest == 0, spells)
            heapq.heappush(events, (until, "back" if rest else "end", r, k, (p, remain)))

    while events:
        t, opened = events[0][0], None
        while events and events[0][0] == t:
            _, kind, r, k, what = heapq.heappop(events)
            if kind == "open":
                opened = r
            elif kind == "arrive":
                advance(r, t)
            elif kind == "parts":
                stage[r] = FIT
            else:
                p, remain = what
                busy[p] = False
                on[r] -= 1
                left[r][k] = remain
                if kind == "back":
                    if stage[r] != PANELS:
                        note("back: not a panel")
                    if stage[r] == PANELS:
                        back[r] = sorted(back[r] + [k])
                        if len(back[r]) > 1:
                            note("two panels back on a car")
                else:
                    ends[r] = t
                    if stage[r] != PANELS or not (on[r] or fresh[r] or back[r]):
                        advance(r, t)
        if all(s == DONE for s in stage):
            break
        deal(t)
        # Days go on while something is to come or a change lies ahead; else what waits now waits for ever.
        if opened is not None and (events or opened <= settled):
            heapq.heappush(events, ((opened + 1) * day, "open", opened + 1, 0, 0))
    ends = [e if s == DONE else None for e, s in zip(ends, stage)]
    if any(s != DONE for s in stage):
        note("not done")
        return None, ends
    return max((e for e in ends if e is not None), default=0), ends     # a car without work has no end


# ---------------------------------------------------------------- what happened, and whether it was allowed

class Trace:
    """Takes down claims (deal to end or going back), stays in bays, touched rules and close calls."""

    def __init__(self):
        self.claims, self.stays, self.touches, self.close = [], [], {}, math.inf

    def touch(self, what):
        self.touches[what] = self.touches.get(what, 0) + 1

    def margin(self, minutes):
        self.close = min(self.close, abs(minutes))

    def claim(self, *what):
        self.claims.append(what)

    def bay_in(self, r, t):
        if any(s[0] == r for s in self.stays):
            self.touch("bay taken again")
        self.stays.append([r, t, math.inf])

    def bay_out(self, r, t):
        next(s for s in reversed(self.stays) if s[0] == r)[2] = t


def at_most(spans, limit):
    """Are never more than `limit` of these half-open spans open at once?"""
    n = 0
    for _, step in sorted([(b, -1) for a, b in spans if b > a] + [(a, 1) for a, b in spans if b > a]):
        n += step
        if n > limit:
            return False
    return True


def audit(inst, draws, trace, result):
    """Asserts what every replication must keep, from its trace alone."""
    day, people, cars = inst["day"], inst["people"], inst["cars"]
    closed, absent = set(draws["closed_days"]), {tuple(a) for a in draws["absent"]}
    for p, who in enumerate(people):
        mine = [c for c in trace.claims if c[0] == p]
        assert at_most([(c[3], c[4]) for c in mine], 1), "two tasks at once"
        for _, r, k, start, until, done, spells in mine:
            n = len(cars[r]["panels"])
            assert ("strip" if k in (0, n + 1) else "finish" if k == n + 2 else "dents") in who["trades"]
            assert spells[0][0] == start and (until == spells[-1][1] if done else until > spells[-1][1] - 1e-9)
            for a, b in spells if day else ():
                d = int((a + b) / 2 // day)
                assert d * day <= a and b <= (d + 1) * day + 1e-9, "work through the night"
                assert d not in closed and (p, d) not in absent and (who["days"] is None or d in who["days"])
    for r, car in enumerate(cars):
        tasks = [car["strip"], *car["panels"], car["fit"], car["finish"]]
        mine = [c for c in trace.claims if c[1] == r]
        n = len(car["panels"])
        assert at_most([(c[3], c[4]) for c in mine], inst["hands"]), "too many hands"
        before = car["arrives"]
        for ks in ([0], range(1, n + 1), [n + 1], [n + 2]):
            here = [c for c in mine if c[2] in ks]
            if list(ks) == [n + 1] and here:
                before = max(before, car["fit_not_before"] + (draws["parts_late"][r] or 0) * (day or 0))
            if here:
                assert min(c[3] for c in here) >= before, "out of order"
                before = max(c[4] for c in here)
        for k, minutes in enumerate(tasks):
            parts = [c for c in mine if c[2] == k]
            assert at_most([(c[3], c[4]) for c in parts], 1) and sum(c[5] for c in parts) <= 1
            grown = draws["growth"][r] if 1 <= k <= n else 1
            did = sum((b - a) * people[c[0]]["speed"] / draws["pace"][c[0]] for c in parts for a, b in c[6])
            did /= grown * draws["factors"][r][k]
            if result[1][r] is not None or any(c[5] for c in parts):
                assert abs(did - minutes) < 1e-6 * (1 + minutes), "minutes done are not minutes wanted"
            else:
                assert did < minutes + 1e-6
        if inst["bays"] is not None:
            stays = [s for s in trace.stays if s[0] == r]
            for c in mine:
                assert c[2] == n + 2 or any(s[1] <= c[3] and c[4] <= s[2] for s in stays), "work outside a bay"
        if result[1][r] is not None:
            assert result[1][r] == max(c[4] for c in mine)
    if inst["bays"] is not None:
        assert at_most([(s[1], s[2]) for s in trace.stays], inst["bays"]), "too many bays"


def closest(inst, draws, trace):
    """The smallest distance of a task's end to any other moment, and of expected minutes to the minutes left:
    where it is tiny, two right programs could round to different answers."""
    ends = sorted(c[4] for c in trace.claims if c[5])
    moments = {c["arrives"] for c in inst["cars"]}
    moments |= {c["fit_not_before"] + k * (inst["day"] or 0) for c, k in zip(inst["cars"], draws["parts_late"])}
    gap = min([b - a for a, b in zip(ends, ends[1:])] + [trace.close])
    for e in ends:
        gap = min([gap] + [abs(e - m) for m in moments])
        if inst["day"]:
            gap = min(gap, e % inst["day"], inst["day"] - e % inst["day"])
    return gap


# ---------------------------------------------------------------- draws

def pick(rng, items):
    return items[int(rng.random() * len(items))]


def between(rng, low, high):
    """A whole number from low to high; from random() alone, so that it stays the same in later versions."""
    return low + int(rng.random() * (high - low + 1))


def draw(rng, inst, chance, m, tau, spread, median=False):
    """Draws of one replication, in the order weather, absence, growth, parts, people, tasks.
    median: factors of median 1 (a log teaches the mean too), else of mean 1."""
    day, people, cars = inst["day"], inst["people"], inst["cars"]
    horizon = HORIZON if day else 0
    closed = [d for d in range(horizon) if rng.random() < chance["weather"]]
    absent = [[p, d] for p in range(len(people)) for d in range(horizon) if rng.random() < chance["absent"]]
    growth, late = [], []
    for c in cars:
        grows = c["strip"] > 0 and rng.random() < chance["growth"]
        shape = chance["growth_shape"]
        growth.append(1 + rng.gammavariate(shape, chance["growth_mean"] / shape) if grows else 1.0)
    for c in cars:
        k = 0
        if day and c["fit"] and c["fit_not_before"] and rng.random() < chance["parts_late"]:
            stop = 1 / chance["parts_late_days"]
            k = 1 + (int(math.log(1 - rng.random()) / math.log(1 - stop)) if stop < 1 else 0)
        late.append(k)
    effects = [rng.gauss(0, tau) if tau else 0.0 for _ in people]
    shift = 0 if median else spread * spread / 2
    factors = [[math.exp(spread * rng.gauss(0, 1) - shift) for _ in range(len(c["panels"]) + 3)] for c in cars]
    return {"closed_days": closed, "absent": absent, "growth": growth, "parts_late": late,
            "pace": [math.exp(m + e) for e in effects], "factors": factors}


# ---------------------------------------------------------------- invented lots

def invent(rng, cars, people, day, hands, target, bays=None, release=False, days=(), parts=0.3):
    """A lot of about `target` days of arrivals. days: for the last people, what their days are like."""
    mixes = [["dents"]] * 5 + [["dents", "strip"]] * 2 + [["strip"]] * 2 + [["strip", "finish"]] * 2 + [["finish"], list(TRADES)]
    while True:
        crew = [{"name": "P%d" % p, "trades": pick(rng, mixes), "speed": pick(rng, [0.8, 0.9, 1.0, 1.0, 1.1, 1.25]), "days": None}
                for p in range(people)]
        # Those with days of their own must not be the only ones of a trade.
        if all(any(t in p["trades"] for p in crew[:people - len(days)]) for t in TRADES):
            break
    for p, kind in zip(reversed(crew), days):
        if kind == "off":                       # two days off in five
            first = between(rng, 0, 4)
            p["days"] = [d for d in range(40) if (d + first) % 5 < 3]
        elif kind == "leaves":
            p["days"] = list(range(between(rng, 1, max(1, target - 1)) + 1))
        elif kind == "comes":
            p["days"] = list(range(between(rng, 1, 2), 40))
    unit = day or 600
    rows = []
    for _ in range(cars):
        u, late = rng.random(), rng.random()
        arrives = 0 if u < 0.5 else unit * between(rng, 0, target // 2) if u < 0.7 else between(rng, 1, unit * target // 2)
        fit = between(rng, 20, 110) if rng.random() < 0.85 else 0
        rows.append({"arrives": arrives, "strip": between(rng, 25, 120) if rng.random() < 0.8 else 0,
                     "panels": [between(rng, 15, 60) + between(rng, 0, 90) for _ in range(between(rng, 2, 9))],
                     "fit": fit, "fit_not_before": between(rng, 1, unit * target * 3 // 4) if fit and late < parts else 0,
                     "finish": between(rng, 15, 60) if rng.random() < 0.9 else 0})
    # Longest first, a usual ranking.
    rows.sort(key=lambda c: -(c["strip"] + sum(c["panels"]) + c["fit"] + c["finish"]))
    rows = [{"stock": "C%d" % r, **c} for r, c in enumerate(rows)]
    return {"day": day, "hands": hands, "bays": bays, "release": release, "people": crew, "cars": rows}


def plain_draws(inst):
    cars = inst["cars"]
    return {"closed_days": [], "absent": [], "growth": [1.0] * len(cars), "parts_late": [0] * len(cars),
            "pace": [1.0] * len(inst["people"]), "factors": [[1.0] * (len(c["panels"]) + 3) for c in cars]}


def make_lots():
    rng = random.Random(4001)
    lots = []
    while len(lots) < 40:
        i = len(lots)
        kinds = [pick(rng, ["off", "leaves", "comes"]) for _ in range(between(rng, 1, 2))] if i % 3 == 1 else []
        people = between(rng, 3, 6) if not kinds else between(rng, 4, 6)
        inst = invent(rng, between(rng, 8, 20), people, between(rng, 54, 60) * 10, between(rng, 1, 3), between(rng, 3, 7),
                      between(rng, 2, 5) if i % 3 == 2 else None, i % 2 == 0, kinds, 0.25)
        usual = run(inst, plain_draws(inst))[0]
        if usual is None or not 3 <= usual / inst["day"] <= 8:
            continue
        if i in (16, 34):                       # the whole crew leaves soon after the usual end: some storms aren't done
            last = math.ceil(usual / inst["day"]) + 1
            for p in inst["people"]:
                p["days"] = [d for d in p["days"] or range(last + 1) if d <= last]
        low_high = {"weather": (0, 0.12), "absent": (0, 0.08), "growth": (0, 0.30), "parts_late": (0, 0.30),
                    "standard_error": (0.05, 0.15), "spread": (0.15, 0.35)}
        chance = {k: round(a + (b - a) * rng.random(), 3) for k, (a, b) in low_high.items()}
        if i % 5 == 0:
            chance[pick(rng, ["weather", "absent", "growth", "parts_late"])] = 0
        chance.update(growth_mean=0.2, growth_shape=2, parts_late_days=round(2 + rng.random(), 1))
        lots.append({**inst, "chance": chance})
    return lots


# ---------------------------------------------------------------- cases

def car(panels=(), strip=0, fit=0, finish=0, arrives=0, parts=0):
    return {"arrives": arrives, "strip": strip, "panels": list(panels), "fit": fit, "fit_not_before": parts, "finish": finish}


def person(*trades, speed=1.0, days=None):
    return {"trades": list(trades), "speed": speed, "days": days}


def by_hand():
    """Small cases that can be followed on paper: (what, end on paper, instance parts, draws that differ from plain)."""
    D, S, F = TRADES
    leaver, later = [0], [1, 2, 3, 4, 5, 6]
    bay_cars = [car([40], fit=20, parts=100), car([30]), car([50], arrives=90)]
    two = [person(D), person(S)]
    return [
        ("a task that ends at closing is done that day; the next waits out an absence", 1260,
         (600, 1, None, False, [person(D)], [car([600]), car([60])]), {"absent": [[0, 1]]}),
        ("a last day just long enough, then nobody is left", None,
         (600, 1, None, False, [person(D, days=leaver)], [car([600]), car([1])]), {}),
        ("one absent day is waited", 160, (60, 1, None, False, [person(D)], [car([100])]), {"absent": [[0, 1]]}),
        ("two absent days: the task goes back to a slower person", 200,
         (60, 1, None, False, [person(D), person(D, speed=0.5)], [car([100])]), {"absent": [[0, 1], [0, 2]]}),
        ("two absences in two interruptions are both waited", 270,
         (60, 1, None, False, [person(D)], [car([150])]), {"absent": [[0, 1], [0, 3]]}),
        ("absent, closed, absent: goes back", 220, (60, 1, None, False, [person(D), person(D, days=[3, 4])], [car([100])]),
         {"absent": [[0, 1], [0, 2], [0, 3]], "closed_days": [2]}),
        ("a closed day doesn't count as absent", 220, (60, 1, None, False, [person(D), person(D, speed=0.5)], [car([100])]),
         {"absent": [[0, 1], [0, 2]], "closed_days": [1]}),
        ("slower than expected on the last day: another person does the rest", 68,
         (60, 1, None, False, [person(D, days=leaver), person(D, days=later)], [car([50])]), {"pace": [1.5, 0.8]}),
        ("two people's panels of one car go back; until then they hold its hands", 210,
         (60, 2, None, False, [person(D), person(D, speed=0.9), person(D, speed=0.8, days=[1, 2, 3, 4, 5])], [car([100, 81, 30])]),
         {"absent": [[0, 1], [0, 2], [1, 1], [1, 2]]}),
        ("one bay given back while parts are awaited, and waited for again", 160, (None, 1, 1, True, two, bay_cars), {}),
        ("the same bay held while parts are awaited", 200, (None, 1, 1, False, two, bay_cars), {}),
        ("fewest trades first, then speed; dents before strip before finish", 108.8,
         (None, 2, None, False, [person(D, S, F, speed=1.25), person(D, speed=0.8)],
          [car([40], finish=20), car([36], strip=30, fit=25), car([10], finish=15)]), {}),
        ("tasks of 0 minutes are none; a car with only finish needs no bay", 170,
         (600, 2, 1, False, [person(D), person(S), person(F)],
          [car([0, 40, 0]), car([30, 0], finish=100, arrives=15), car(finish=25, arrives=10), car(fit=35)]), {}),
        ("the days left are compared at a person's speed", 160,
         (60, 1, None, False, [person(D, speed=0.8, days=leaver), person(D, speed=0.5, days=later), person(S, D, speed=1.25, days=leaver)],
          [car([70]), car([50]), car([25])]), {}),
        ("growth stays in force on what goes back", 245,
         (60, 1, None, False, [person(S), person(D), person(D, speed=0.8)], [car([100], strip=10)]),
         {"growth": [1.5], "absent": [[1, 1], [1, 2]]}),
        ("growth makes a panel too long for the last day of one person", 97.5,
         (60, 1, None, False, [person(S), person(D, days=leaver), person(D, speed=0.8, days=later)], [car([24], strip=31)]),
         {"growth": [1.25]}),
    ]


# Drawn cases: what, how it is invented, and the rules that must come up in it.
DRAWN = [
    ("no calendar, one hand", dict(cars=10, people=4, day=None, hands=1, target=3), []),
    ("no calendar, two hands, bays", dict(cars=14, people=5, day=None, hands=2, target=3, bays=3), ["bay waited for", "2 on a car"]),
    ("no calendar, three hands, many trades", dict(cars=20, people=6, day=None, hands=3, target=3), ["3 on a car", "later trade taken"]),
    ("calendar alone", dict(cars=10, people=4, day=570, hands=2, target=4), ["night"]),
    ("days off and someone who leaves", dict(cars=10, people=5, day=540, hands=2, target=4, days=("off", "leaves")),
     ["day off skipped", "back: never here again", "too long for the days left"]),
    ("many absences", dict(cars=12, people=5, day=600, hands=2, target=5, absent=0.3),
     ["absent day waited", "back: absent twice", "went back, before untouched", "back: not a panel"]),
    ("absences, three hands, short days", dict(cars=8, people=5, day=240, hands=3, target=8, absent=0.45),
     ["two panels back on a car", "went back, before untouched", "3 on a car"]),
    ("weather", dict(cars=10, people=4, day=580, hands=2, target=4, weather=0.3), ["closed day skipped"]),
    ("bays given back", dict(cars=14, people=5, day=560, hands=2, target=5, bays=3, release=True, parts=0.6, late=0.4),
     ["bay waited for", "bay taken again", "parts waited for"]),
    ("bays held", dict(cars=14, people=5, day=560, hands=2, target=5, bays=3, parts=0.6, late=0.4), ["bay waited for", "parts waited for"]),
    ("late parts", dict(cars=12, people=4, day=590, hands=1, target=4, parts=0.7, late=0.5), ["parts waited for"]),
    ("growth", dict(cars=12, people=4, day=600, hands=3, target=4, growth=0.5), ["grown panel", "3 on a car"]),
    ("the crew leaves before the end", dict(cars=12, people=4, day=550, hands=2, target=4, cut=3, absent=0.1),
     ["not done", "too long, took another", "back: never here again"]),
    ("all together, few people", dict(cars=16, people=3, day=540, hands=2, target=5, bays=4, release=True, parts=0.4, late=0.3,
                                      growth=0.3, absent=0.15, weather=0.12),
     ["absent day waited", "closed day skipped", "grown panel", "bay waited for"]),
    ("all together", dict(cars=24, people=6, day=560, hands=3, target=6, bays=5, release=True, parts=0.4, late=0.3, growth=0.3,
                          absent=0.2, weather=0.12, days=("off", "leaves")),
     ["back: absent twice", "back: never here again", "day off skipped", "bay taken again", "went back, before untouched"]),
    ("all together, a large lot", dict(cars=40, people=8, day=600, hands=2, target=8, bays=7, release=True, parts=0.4, late=0.3,
                                       growth=0.3, absent=0.15, weather=0.1, days=("off", "leaves", "comes")),
     ["back: absent twice", "back: never here again", "day off skipped", "bay taken again", "went back, before untouched"]),
]


def case(what, inst, draws):
    trace = Trace()
    result = run(inst, draws, trace)
    audit(inst, draws, trace, result)
    rounded = [None if e is None else round(e, 6) for e in result[1]]
    return trace, {"what": what, "instance": inst, "draws": draws, "end": None if result[0] is None else round(result[0], 6),
                   "car_ends": rounded, "touches": dict(sorted(trace.touches.items()))}


def make_cases():
    cases = []
    for what, paper, (day, hands, bays, release, people, cars), differ in by_hand():
        inst = {"day": day, "hands": hands, "bays": bays, "release": release,
                "people": [{"name": "P%d" % p, **x} for p, x in enumerate(people)],
                "cars": [{"stock": "C%d" % r, **x} for r, x in enumerate(cars)]}
        _, made = case(what, inst, {**plain_draws(inst), **differ})
        assert made["end"] == paper, (what, made["end"], paper)
        cases.append(made)
    rng = random.Random(4002)
    for what, how, need in DRAWN:
        how = dict(how)
        chance = {"weather": how.pop("weather", 0), "absent": how.pop("absent", 0), "growth": how.pop("growth", 0),
                  "parts_late": how.pop("late", 0), "growth_mean": 0.2, "growth_shape": 2, "parts_late_days": 2}
        cut = how.pop("cut", None)
        while True:                             # until the rules wanted come up and nothing hangs on a rounding
            inst = invent(rng, **how)
            if cut:
                for p in inst["people"]:
                    p["days"] = list(range(cut))
            draws = draw(rng, inst, chance, rng.gauss(0, 0.1), 0.12, 0.25)
            for key in ("growth", "pace"):
                draws[key] = [round(x, 6) for x in draws[key]]
            draws["factors"] = [[round(x, 6) for x in fs] for fs in draws["factors"]]
            trace, made = case(what, inst, draws)
            done = made["end"] is not None
            if all(n in trace.touches for n in need) and closest(inst, draws, trace) > 1e-4 and done != bool(cut):
                break
        # Days after the end play no part.
        if done and inst["day"]:
            last = int(made["end"] // inst["day"]) + 1
            draws["closed_days"] = [d for d in draws["closed_days"] if d <= last]
            draws["absent"] = [a for a in draws["absent"] if a[1] <= last]
        elif inst["day"]:
            draws["absent"] = [a for a in draws["absent"] if a[1] <= 12]
        _, again = case(what, inst, draws)
        assert again["car_ends"] == made["car_ends"]
        cases.append(again)
    return cases


# ---------------------------------------------------------------- storms

def storms(lots, seed, logged, other):
    """The rows of an ends file and of its log: 25 storms of each lot."""
    rng = random.Random(seed)
    ends, logs = io.StringIO(), io.StringIO()
    ends.write("storm,lot,end,day\n")
    logs.write("storm,person,ratio\n")
    for storm in range(25 * len(lots)):
        lot = lots[storm // 25]
        chance = lot["chance"]
        spread = chance["spread"] * (1.6 if other else 1)
        m = math.log(1.15) if other else rng.gauss(0, 0.10 if logged else chance["standard_error"])
        draws = draw(rng, lot, chance, m, 0.15 if logged else 0, spread, median=logged)
        if logged:
            for _ in range(30):
                p = between(rng, 0, len(lot["people"]) - 1)
                logs.write("%d,%d,%.5f\n" % (storm, p, draws["pace"][p] * math.exp(spread * rng.gauss(0, 1))))
        trace = Trace() if storm % 5 == 0 else None
        result = run(lot, draws, trace)
        if trace:
            audit(lot, draws, trace, result)
        end = result[0]
        assert end is None or end < HORIZON * lot["day"]
        ends.write("%d,%d,,\n" % (storm, storm // 25) if end is None else
                   "%d,%d,%.3f,%d\n" % (storm, storm // 25, end, math.ceil(end / lot["day"])))
    return ends.getvalue(), logs.getvalue()


def rows(items):
    """JSON with one item on a line."""
    return "[\n" + ",\n".join(json.dumps(i, separators=(",", ":")) for i in items) + "\n]\n"


def files():
    yield "cases.json", rows(make_cases())
    lots = make_lots()
    yield "lots.json", rows(lots)
    yield "truths.csv", storms(lots, 4003, False, False)[0]
    ends, logs = storms(lots, 4004, True, False)
    yield "logged.csv", ends
    yield "logs.csv", logs
    yield "other_truth.csv", storms(lots, 4005, False, True)[0]
    ends, logs = storms(lots, 4006, True, True)
    yield "other_logged.csv", ends
    yield "other_logs.csv", logs


def yardstick(folder):
    def load(name):
        with open(os.path.join(folder, name), encoding="utf-8") as f:
            return f.read()
    storm, wanted = json.loads(load("storm300.json")), json.loads(load("factors20.json"))
    by_stock = {c["stock"]: c for c in storm["cars"]}
    cars = [{**by_stock[s], "panels": [by_stock[s]["panels"][k] for k in ks], "fit_not_before": by_stock[s]["fit_not_before"] or 0}
            for s, ks in zip(wanted["cars"], wanted["panels"])]
    inst = {"day": None, "hands": storm["hands_per_car"], "bays": storm["bays"], "release": False,
            "people": [{**p, "days": None} for p in storm["people"]], "cars": cars}
    worst = 0.0
    for factors, line in zip(wanted["replications"], load("finish20.csv").splitlines()[1:]):
        draws, trace = {**plain_draws(inst), "factors": factors}, Trace()
        result = run(inst, draws, trace)
        audit(inst, draws, trace, result)
        worst = max(worst, abs(result[0] - float(line.split(",")[1])))
    print("20 replications, largest difference %.7f minutes" % worst)
    return 0 if worst < 1e-4 else 1


def main(args):
    if len(args) == 2 and args[0] == "yardstick":
        return yardstick(args[1])
    if args not in (["write"], ["check"]):
        print(__doc__)
        return 2
    wrong = 0
    for name, text in files():
        path = os.path.join(HERE, name)
        if args == ["write"]:
            with open(path, "w", encoding="utf-8", newline="\n") as f:
                f.write(text)
            print("%-18s %7d bytes, %5.1f s" % (name, len(text), time.process_time()))
        else:
            try:
                with open(path, encoding="utf-8", newline="") as f:
                    same = f.read() == text
            except OSError:
                same = False
            wrong += not same
            print("%-18s %s" % (name, "same" if same else "DIFFERENT"))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
