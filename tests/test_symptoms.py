"""What is seen in the tray, and what may cause it: rows of a table."""

import pytest

from pennyflat.growing.remedies import COSTS
from pennyflat.trade import facts as tables

CAUSES = tables.rows("symptoms")
SIGHTS = tuple(dict.fromkeys(row["subject"] for row in CAUSES))


def causes_of(sight):
    return [row for row in CAUSES if row["subject"] == sight]


@pytest.mark.parametrize("sight", SIGHTS)
def test_every_sight_has_causes_a_remedy_and_a_doubt(sight):
    found = causes_of(sight)

    assert len({row["observation"] for row in found}) == 1
    assert all(row["cause"] and row["remedy"] for row in found)
    assert all(row["tell_apart"] and row["doubt"] for row in found)


def test_no_two_sights_look_the_same():
    assert len({row["observation"] for row in CAUSES}) == len(SIGHTS)


def test_every_remedy_can_be_priced():
    assert {row["cost_from"] for row in CAUSES} <= set(COSTS)


def test_hunger_is_priced_by_the_feed_and_salty_seed_by_potting_on():
    assert causes_of("yellow-oldest")[0]["cost_from"] == "feed"
    assert "pot on" in {row["cost_from"] for row in causes_of("no-emergence")}
