"""The same question in other words has the same answer, through the whole model.

Rows in another order, other names, other units on the labels, another currency, a package written
in two rows: what is compared, chosen and bought stays, and costs stay or are all so many times as
much.
"""

import json
import random
import re
from collections import Counter
from functools import cache

import pytest

from pennyflat import read, shop, write
from pennyflat.comparing.report import compared  # `compare` would solve what `shop` solves
from pennyflat.units import GRAMS, LITRES
from tests.strategies import whole_scenario
from tests.times import TIMES

SEEDS = range(30 * TIMES)
MONEY = {"price", "trip_cost", "pay", "seed_price", "tariff", "wage", "budget"}
"""Keys of a document."""
NEARLY = {"rel": 1e-6, "abs": 1e-6}
"""As nearly as the solver solves."""


@pytest.fixture(params=SEEDS)
def seed(request):
    return request.param


@pytest.fixture
def document(seed):
    size = {"media": 2 + seed % 2, "sowings": 1 + seed % 3}
    return write(whole_scenario(random.Random(seed), **size))


@cache
def _answer(text):
    scenario = read(json.loads(text))
    return json.dumps({"compared": compared(scenario), "shop": shop(scenario)})


def answer(document):
    """What is compared, and what to buy."""
    return json.loads(_answer(json.dumps(document)))


def mapped(value, change, key=None):
    """A document with `change(key, value)` for each of its values, those inside first."""
    if isinstance(value, dict):
        value = {name: mapped(item, change, name) for name, item in value.items()}
    elif isinstance(value, list):
        value = [mapped(item, change) for item in value]
    return change(key, value)


def things(found):
    """What is chosen, sown and bought."""
    keys = ("crop", "medium", "cells", "seeds", "feedings", "ready", "stalls_in_week")
    rows = [[row[key] for key in keys] for row in found["compared"]["comparisons"]]
    plan = [[row.get(key) for key in keys[:5]] for row in found["shop"]["plan"]]
    bought = Counter()
    for store in found["shop"]["stores"]:
        for line in store["items"]:
            bought[store["store"], line["item"]] += line["count"]
    return rows, plan, bought


def money(found, times=1):
    """All that is paid and that it costs, in one list, so many times as much."""
    bill, parts = found["shop"], []
    for row in found["compared"]["comparisons"]:
        till = row["at_the_till"] or {}
        parts += [*(row["as_used"] or {}).values(), till.get("paid"), till.get("trips")]
    parts += [row.get("each_as_used") for row in bill["plan"]]
    parts += [bill["recommendation"][key] for key in ("to_pay", "per_ready_seedling")]
    parts += [bill[key] for key in ("with_the_rest", "weighed_cost", "packages_paid", "trips_paid")]
    return [part * times for part in parts if part is not None]


def test_units_on_the_labels_make_no_difference(document):
    def in_other_units(key, value):
        for units, unit in ((LITRES, "qt_dry"), (GRAMS, "lb")):
            if isinstance(value, dict) and value.get("unit") in units:
                size = value["size"] * units[value["unit"]] / units[unit]
                return value | {"size": size, "unit": unit}
        return value

    before, after = answer(document), answer(mapped(document, in_other_units))

    assert things(after) == things(before)
    assert money(after) == pytest.approx(money(before), **NEARLY)


def test_in_another_currency_it_is_that_many_times_as_much_money(document):
    def in_pence(key, value):
        return value * 100 if key in MONEY and value is not None else value

    before, after = answer(document), answer(mapped(document, in_pence))

    assert things(after) == things(before)
    assert money(after) == pytest.approx(money(before, 100), **NEARLY)


def test_the_order_of_rows_makes_no_difference(document, seed):
    rng = random.Random(seed)
    order = {
        name: rng.sample(range(len(rows)), len(rows))
        for name, rows in document.items()
        if isinstance(rows, list)
    }

    def turned_round(key, value):
        is_rows = key in ("packages", "seed_packets", "parts") and isinstance(value, list)
        return value[::-1] if is_rows else value

    other = document | {name: [document[name][i] for i in order[name]] for name in order}
    before, after = answer(document), answer(mapped(other, turned_round))
    rows = iter(after["compared"]["comparisons"])
    placed = {(crop, mix): next(rows) for crop in order["sowings"] for mix in order["media"]}
    after["compared"]["comparisons"] = [row for _, row in sorted(placed.items())]
    planned = dict(zip(order["sowings"], after["shop"]["plan"], strict=True))
    after["shop"]["plan"] = [row for _, row in sorted(planned.items())]

    assert things(after) == things(before)
    assert money(after) == pytest.approx(money(before), **NEARLY)


def test_a_package_in_two_rows_is_the_same_package(document):
    def halves(row):
        limit = row.get("limit")
        if limit is None:
            return [row, row]
        if row.get("deal"):
            return [row]  # a deal is for packages of one row
        return [row | {"limit": limit // 2}, row | {"limit": limit - limit // 2}]

    def in_two_rows(key, value):
        if key not in ("packages", "seed_packets"):
            return value
        return [half for row in value for half in halves(row)]

    before, after = answer(document), answer(mapped(document, in_two_rows))

    assert things(after) == things(before)
    assert money(after) == pytest.approx(money(before), **NEARLY)


def test_other_names_change_the_names_and_nothing_else(document):
    names = {"Store": "Yard", "Mix": "Blend", "Coir": "Wool", "Feed": "Zest", "72 cells": "A tray"}

    def renamed(text):
        return re.sub(rf"\b({'|'.join(names)})\b", lambda found: names[found[0]], text)

    before, after = answer(document), answer(json.loads(renamed(json.dumps(document))))
    for found in (before, after):  # what is looked for as long as the time given lasts
        del found["shop"]["recommendation"]["turns"]

    # As values: what another test has worked out from whole numbers gives 8 for 8.0.
    assert after == json.loads(renamed(json.dumps(before)))
