import pytest

from pennyflat.trade.symptoms import causes_of, observations
from reader import tables

CAUSES = tables.causes()


@pytest.mark.parametrize("key", observations(CAUSES))
def test_every_sight_has_causes_a_remedy_and_a_doubt(key):
    found = causes_of(CAUSES, key)

    assert {cause.observation for cause in found} == {observations(CAUSES)[key]}
    assert all(cause.remedy and cause.tell_apart and cause.doubt for cause in found)


def test_every_cause_belongs_to_one_sight_only():
    keys = observations(CAUSES)

    assert sum(len(causes_of(CAUSES, key)) for key in keys) == len(CAUSES)
    assert len(set(keys.values())) == len(keys)


def test_hunger_is_priced_by_the_feed_and_salty_seed_by_potting_on():
    assert causes_of(CAUSES, "yellow-oldest")[0].cost_from == "feed"
    assert "pot on" in {cause.cost_from for cause in causes_of(CAUSES, "no-emergence")}


def test_nothing_is_known_of_a_sight_that_is_not_in_the_table():
    assert causes_of(CAUSES, "blue spots") == ()
