"""What must hold for every scenario, whatever its numbers."""

import copy
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyflat.comparing.report import at_the_till, compare, compared, effects
from pennyflat.comparing.till import look_ahead, paid_for, till_steps
from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Package, price_per
from pennyflat.units import LITRES

SCENARIO = read(DEMO)

media = st.sampled_from(SCENARIO.media)
sowings = st.builds(
    replace,
    st.sampled_from(SCENARIO.sowings),
    wanted=st.integers(1, 400),
    cell_ml=st.floats(5, 500),
    weeks=st.floats(1, 12),
    germination=st.floats(0.2, 1.0),
    survival=st.floats(0.3, 1.0),
    seeds_per_cell=st.integers(1, 4),
    presprout=st.booleans(),
)


@given(
    st.floats(0.1, 1000), st.sampled_from(list(LITRES)), st.sampled_from(list(LITRES)),
    st.floats(0, 1000),
)  # fmt: skip
def test_price_per_litre_does_not_depend_on_the_unit(size, unit, other, price):
    same = size * LITRES[unit] / LITRES[other]

    assert price_per(Package("", size, unit, price), "L") == pytest.approx(
        price_per(Package("", same, other, price), "L")
    )


@given(sowings, media, st.floats(0, 0.5), st.floats(0.01, 0.4))
def test_cost_rises_with_fill_loss(sowing, medium, loss, more):
    costs = [
        requirement(SCENARIO, sowing, replace(medium, fill_loss=share)).costs.medium
        for share in (loss, loss + more)
    ]

    assert costs[0] < costs[1]


@given(sowings, media, st.floats(0.2, 0.9), st.floats(0.01, 0.1))
def test_cost_falls_with_germination(sowing, medium, germination, more):
    medium = replace(medium, emergence={})
    totals = []
    for chance in (germination, germination + more):
        needed = requirement(SCENARIO, replace(sowing, germination=chance), medium)
        totals.append(needed.costs.total / (needed.cells * needed.ready_share))

    assert totals[1] < totals[0]


@given(sowings, media, st.integers(1, 500))
def test_cost_as_used_does_not_depend_on_the_number_wanted(sowing, medium, wanted):
    few, many = (
        requirement(SCENARIO, replace(sowing, wanted=number), medium)
        for number in (sowing.wanted, wanted)
    )
    if few.ready:
        assert few.costs.each(few.expected_ready).total == pytest.approx(
            many.costs.each(many.expected_ready).total
        )


@given(sowings, media)
def test_till_never_pays_less_than_the_litres_it_covers_are_worth(sowing, medium):
    plain = replace(
        SCENARIO,
        media=tuple(
            replace(m, packages=tuple(replace(p, deal=None) for p in m.packages))
            for m in SCENARIO.media
        ),
    )
    needed = requirement(plain, sowing, plain.medium(medium.name))
    till, _ = at_the_till(plain, needed)

    assert till["paid"] >= (needed.costs.medium + needed.costs.feed) * (1 - 1e-9)


@given(sowings, media)
@settings(max_examples=40)
def test_steps_of_the_till_are_what_is_paid_for_each_number(sowing, medium):
    needed = requirement(SCENARIO, sowing, medium)
    steps = till_steps(SCENARIO, needed, look_ahead(sowing.wanted))

    for wanted in {1, sowing.wanted, look_ahead(sowing.wanted)}:
        exact = requirement(SCENARIO, replace(sowing, wanted=wanted), medium)
        till, _ = at_the_till(SCENARIO, exact)
        assert paid_for(steps, wanted) == pytest.approx(till["paid"])


@given(sowings, media, media)
def test_effects_add_up_to_the_difference(sowing, first, second):
    one, other = (requirement(SCENARIO, sowing, medium) for medium in (first, second))
    each = [needed.costs.total / (needed.cells * needed.ready_share) for needed in (one, other)]

    assert sum(effects(one, other).values()) == pytest.approx(each[1] - each[0], abs=1e-12)


@given(st.lists(sowings, min_size=1, max_size=3))
@settings(max_examples=40)
def test_verdict_names_the_least_of_the_comparison(chosen):
    report = compared(replace(SCENARIO, sowings=tuple(chosen)))
    size = len(SCENARIO.media)

    for place, verdict in enumerate(report["verdicts"]):
        rows = report["comparisons"][place * size : (place + 1) * size]
        ready = [row for row in rows if row["ready"]]
        least = min(ready, key=lambda row: row["as_used"]["total"])
        assert verdict["cheapest"] == least["medium"]


def test_report_does_not_change_the_document():
    document = copy.deepcopy(DEMO)

    compare(read(document))

    assert document == DEMO
