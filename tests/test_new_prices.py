"""New prices reach the shelf, nothing else changes, and each change is reported."""

import copy

import pytest

from pennyflat import DEMO, check, read
from pennyflat.new_prices import Offer, offers_of, with_offers
from pennyflat.package import Deal, Package
from pennyflat.price_list import read_price_list
from pennyflat.scenario import Store

BULK = "Bulk potting mix"


def test_a_known_package_takes_the_new_price_and_nothing_else_changes():
    update = with_offers(DEMO, [Offer(BULK, Package("Farm counter", 2, "cu_ft", 16.0))])

    expected = copy.deepcopy(DEMO)
    expected["media"][1]["packages"][0]["price"] = 16.0
    assert update.document == expected
    (change,) = update.changes
    assert (change.path, change.before["price"]) == ("media[1].packages[0]", 14.5)


def test_the_document_passed_in_is_not_changed():
    before = copy.deepcopy(DEMO)
    with_offers(DEMO, [Offer(BULK, Package("New shop", 2, "cu_ft", 16.0))])

    assert before == DEMO


def test_another_size_becomes_one_more_package_and_its_shop_one_more_shop():
    offer = Offer("Perlite", Package("Yard", 100, "L", 30.0, deal=Deal(2, 50.0)))
    update = with_offers(DEMO, [offer], stores=[Store("Yard", 2.5)])

    assert check(update.document) == []
    assert update.document["ingredients"][1]["packages"][1]["deal"] == {"take": 2, "pay": 50.0}
    assert update.document["stores"][-1] == {"name": "Yard", "trip_cost": 2.5}
    assert update.changes[0].before is None


def test_a_deal_that_is_over_goes():
    package = Package("Corner shop", 16, "qt_dry", 9.8)
    update = with_offers(DEMO, [Offer("Seed starter mix", package)])

    assert "deal" in update.changes[0].before
    assert "deal" not in update.document["media"][0]["packages"][1]


def test_ones_own_prices_change_nothing():
    update = with_offers(DEMO, offers_of(read(DEMO)))

    assert update.document == DEMO
    assert update.changes == update.not_on_shelf == update.unfit == ()
    assert len(update.same) == len(offers_of(read(DEMO)))


@pytest.mark.parametrize(
    ("item", "package"),
    [
        ("Dry organic fertiliser", Package("A", 5, "L", 9.0)),  # used by weight
        (BULK, Package("A", 20, "kg", 9.0)),  # used by volume
        ("Soluble feed 20-20-20", Package("A", 1, "L", 9.0)),  # a dry feed
    ],
)
def test_what_cannot_be_counted_as_needed_is_left_out(item, package):
    update = with_offers(DEMO, [Offer(item, package)])

    assert update.document == DEMO
    assert update.unfit == (Offer(item, package),)


@pytest.mark.parametrize("item", ["Home blend", "Grit", ""])
def test_what_is_not_bought_is_named(item):
    offer = Offer(item, Package("A", 5, "L", 9.0))

    assert with_offers(DEMO, [offer]).not_on_shelf == (offer,)


def test_prices_of_another_scenario_and_of_a_list():
    theirs = copy.deepcopy(DEMO)
    theirs["media"][1]["packages"][0]["price"] = 13.0
    merged = with_offers(DEMO, offers_of(read(theirs)))
    assert merged.document["media"][1]["packages"][0]["price"] == 13.0
    assert len(merged.changes) == 1

    rows = read_price_list(f"item;size;price\n{BULK};2 cu ft;12,50", store="Farm counter").rows
    listed = with_offers(merged.document, [Offer(row.item, row.package) for row in rows])
    assert listed.document["media"][1]["packages"][0]["price"] == 12.5
    assert check(listed.document) == []
