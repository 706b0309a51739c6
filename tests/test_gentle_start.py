from dataclasses import replace

import pytest

from pennyflat.demo import DEMO
from pennyflat.growing.gentle_start import gentle_starts
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import Medium, PotOn, Sowing, Tray

LEAN = Medium("Lean", 1, fill_loss=0, packages=(Package("Shop", 10, "L", 10.0),))
RICH = Medium(
    "Rich", 6, fill_loss=0, packages=(Package("Shop", 10, "L", 5.0),), emergence={"lettuce": 0.5}
)
LETTUCE = Sowing("lettuce", 100, cell_ml=20, weeks=4, germination=0.8, seed_price=0.01, take=0.9)
SCENARIO = replace(
    read(DEMO),
    media=(LEAN, RICH),
    sowings=(LETTUCE,),
    trays=(Tray("pots", cells=20, price=2.0, uses=1),),
    feed=None,
    energy=None,
    assurance=None,
)


def starts(**changes):
    return gentle_starts(SCENARIO, replace(LETTUCE, **changes), RICH, LEAN)


def test_each_way_costs_what_it_takes_by_hand():
    found = starts(pot_on=PotOn("Rich", 100, "pots"))

    # half of the cells come up: 200 cells of 20 mL at 0.50 a litre, 200 seeds
    assert found["straight in"].cells == 200
    assert found["straight in"].each.total == pytest.approx((200 * 0.02 * 0.5 + 200 * 0.01) / 100)
    # nine in ten sprouted seeds take: 112 cells, 112 / 0.8 seeds
    assert found["pre-sprouted"].cells == 112
    assert found["pre-sprouted"].each.total == pytest.approx(
        (112 * 0.02 * 0.5 + 112 / 0.8 * 0.01) / (112 * 0.9)
    )
    # eight in ten come up in the lean mix: 125 cells at 1.00 a litre, 100 plants into 100 mL at
    # 0.50 a litre in containers at 0.10
    assert found["lean mix first"].cells == 125
    assert found["lean mix first"].each.total == pytest.approx(
        (125 * 0.02 * 1.0 + 100 * 0.1 * 0.5 + 125 * 0.01 + 100 * 0.1) / 100
    )


def test_a_way_that_is_not_ready_has_no_cost():
    found = starts(weeks=9)

    assert found["straight in"].each is None
    assert found["straight in"].why_not


@pytest.mark.parametrize("at_week", [4, 5])
def test_a_move_that_would_not_come_before_transplanting_is_not_offered(at_week):
    assert "lean mix first" not in starts(pot_on=PotOn("Rich", 20, at_week=at_week))
    assert "lean mix first" in starts(pot_on=PotOn("Rich", 20, at_week=3))


def test_a_lean_mix_that_feeds_to_the_end_leads_to_no_move():
    found = gentle_starts(SCENARIO, LETTUCE, RICH, replace(LEAN, feeds_for_weeks=4))

    assert list(found) == ["straight in", "pre-sprouted"]


def test_the_sowing_itself_is_left_alone_and_its_own_container_is_used():
    assert starts()["lean mix first"].litres["Rich"] == pytest.approx(100 * 0.02)
    assert LETTUCE.pot_on is None and not LETTUCE.presprout


def test_one_medium_cannot_be_both():
    with pytest.raises(ValueError, match="two media"):
        gentle_starts(SCENARIO, LETTUCE, RICH, RICH)
