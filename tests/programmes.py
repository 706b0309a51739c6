"""Random mixed-integer linear programmes, as models for HiGHS, natively and in the page."""

import random


def small(number):
    """Up to 6 columns and 5 rows, some of whole numbers and some not; a few have no answer."""
    numbers = random.Random(number)
    columns, rows = numbers.randint(2, 6), numbers.randint(1, 5)
    row_lower, row_upper, entries = [], [], []
    for _ in range(rows):
        entries.append([(j, numbers.randint(-3, 9)) for j in range(columns)])
        low = numbers.randint(1, 30)
        row_lower.append(numbers.choice([low, low, None]))
        row_upper.append(numbers.choice([low + numbers.randint(0, 9), None]))
    return {
        "cost": [round(numbers.uniform(0.5, 20), 2) for _ in range(columns)],
        "lower": [numbers.randint(0, 1) for _ in range(columns)],
        "upper": [numbers.choice([None, 4]) for _ in range(columns)],
        "integer": [numbers.choice([1, 1, 0]) for _ in range(columns)],
        "row_lower": row_lower,
        "row_upper": row_upper,
        **by_rows(entries),
        "start": None,
        "seconds": 60,
    }


def hard(number, mixes=30, sowings=30):
    """
    One of nearly equal mixes for each sowing, in whole bags: not proven for a long while.

    All sowings in the first mix, in bags enough, are its start.
    """
    numbers = random.Random(number)
    litres = [[numbers.uniform(2, 25) for _ in range(mixes)] for _ in range(sowings)]
    picks = sowings * mixes
    prices = [round(size * numbers.uniform(0.6, 0.65), 2) for size in [10, 25] * mixes]
    entries = [[(row * mixes + m, 1) for m in range(mixes)] for row in range(sowings)]
    for m in range(mixes):
        taken = [(row * mixes + m, -litres[row][m]) for row in range(sowings)]
        entries.append([*taken, (picks + 2 * m, 10), (picks + 2 * m + 1, 25)])
    columns = picks + 2 * mixes
    start = [0] * columns
    start[0:picks:mixes] = [1] * sowings
    start[picks] = sowings * 3
    return {
        "cost": [0] * picks + prices,
        "lower": [0] * columns,
        "upper": [1] * picks + [None] * (2 * mixes),
        "integer": [1] * columns,
        "row_lower": [1] * sowings + [0] * mixes,
        "row_upper": [1] * sowings + [None] * mixes,
        **by_rows(entries),
        "start": start,
        "seconds": 60,
    }


def by_rows(entries):
    """The coefficients of rows, [[(column, value), …], …], as a model has them."""
    starts = [0]
    for row in entries:
        starts.append(starts[-1] + len(row))
    flat = [entry for row in entries for entry in row]
    return {"starts": starts, "index": [j for j, _ in flat], "value": [value for _, value in flat]}


def misses(model, values):
    """By how much values miss the model's bounds, rows and whole numbers, at most."""
    sums = [
        sum(model["value"][k] * values[model["index"][k]] for k in range(first, last))
        for first, last in zip(model["starts"], model["starts"][1:], strict=False)
    ]
    missed = [abs(x - round(x)) for x, whole in zip(values, model["integer"], strict=True) if whole]
    for found, least, most in [
        *zip(values, model["lower"], model["upper"], strict=True),
        *zip(sums, model["row_lower"], model["row_upper"], strict=True),
    ]:
        missed += [] if least is None else [least - found]
        missed += [] if most is None else [found - most]
    return max(missed)
