"""A club's order is the cheapest joint plan; each pays a fair part of it, no more than alone."""

import copy
import json
import math
import random
from collections import defaultdict
from dataclasses import replace
from itertools import product

import pytest

from pennyflat.buying.cover import Need
from pennyflat.buying.highs import solve
from pennyflat.buying.needs import needs_of
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import shop
from pennyflat.club import payments
from pennyflat.club.joint_plan import JointPlanner, members_of
from pennyflat.club.joint_shelf import joint_shelf
from pennyflat.club.pool import PoolError, pool, pool_steps
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.records import SeedPacket
from tests.milp import least_money
from tests.strategies import random_scenario

CLUBS = 300
"""Random orders of two or three members. [count]"""


def random_members(rng, *, limits, sowings=2):
    """Members with one shelf, who differ in crops, what is at home, trips and what they know."""
    shelf = random_scenario(rng, limits=limits, media=2, sowings=0)
    if limits:
        shelf = replace(shelf, media=tuple(_scarce(rng, medium) for medium in shelf.media))
    names = [f"Member {number}" for number in range(rng.randint(2, 3))]
    return [_random_member(rng, shelf, name, limits, sowings) for name in names]


def _scarce(rng, medium):
    packages = (
        replace(package, deal=None, limit=rng.choice([1, 2, None])) for package in medium.packages
    )
    return replace(medium, packages=tuple(packages))


def _random_member(rng, shelf, title, limits, sowings):
    own = random_scenario(rng, limits=limits, media=2, sowings=rng.randint(0, sowings), wanted=80)

    def at_home(row):
        return replace(row, stock=rng.choice([0.0, row.stock, 2.0]))

    media = tuple(
        replace(
            at_home(medium),
            fill_loss=rng.choice([0.1, 0.2]),
            packages=medium.packages[: rng.randint(1, 3)],
        )
        for medium in shelf.media
    )
    packets = (SeedPacket(shelf.stores[0].name, 2.0, 40),)
    return replace(
        shelf,
        title=title,
        media=media,
        ingredients=tuple(map(at_home, shelf.ingredients)),
        feed=shelf.feed and at_home(shelf.feed),
        trays=(replace(shelf.trays[0], have=rng.choice([None, 0, 2]), store=shelf.stores[0].name),),
        stores=tuple(
            replace(store, trip_cost=store.trip_cost * rng.choice([1, 1, 2]))
            for store in shelf.stores
        ),
        sowings=tuple(
            replace(
                sowing,
                seed_packets=rng.choice([(), packets]),
                seed_stock=rng.choice([0, 30]),
            )
            for sowing in own.sowings
        ),
    )


def cents(money):
    return round(money * 100)


@pytest.fixture(scope="module")
def orders():
    """(members, report) of many random orders, half of them with limits."""
    found = []
    for seed in range(CLUBS):
        members = random_members(random.Random(seed), limits=seed % 2 == 1)
        found.append((members, pool(members)))
    return found


def test_payments_come_to_the_total_to_the_cent(orders):
    for _, report in orders:
        paid = sum(cents(member["pays"]) for member in report["members"])
        assert abs(paid - 100 * report["total"]) <= 0.5 + 1e-6


def test_every_line_adds_up(orders):
    for _, report in orders:
        trips = sum(cents(member["trips"]) for member in report["members"])
        assert abs(trips - 100 * report["trips_paid"]) <= 0.5 + 1e-6
        for member in report["members"]:
            assert cents(member["goods"]) + cents(member["trips"]) == cents(member["pays"])
            assert min(member["goods"], member["trips"]) >= 0
            if member["alone"] is not None:
                assert member["alone"] - member["besides"] - member["saving"] == pytest.approx(
                    member["pays"], abs=1e-6
                )


def test_nobody_pays_more_than_alone_where_the_order_saves(orders):
    saving = [report for _, report in orders if (report["saving"] or -1.0) >= 0]

    assert len(saving) > 150
    for report in saving:
        for member in report["members"]:
            assert member["saving"] >= -0.005 - 1e-9  # an own list in parts of a cent


def test_without_limits_an_order_always_saves_and_is_proven(orders):
    for _, report in orders[::2]:
        assert report["none_worse_off"] and report["why_not"] is None
        assert report["unmet"] == [] and report["proven"]
        for member in report["members"]:  # tax makes parts of a cent, own lists are rounded up
            assert (member["saving"] or 0.0) > -0.01


def test_where_limits_leave_somebody_worse_off_it_is_said_who(orders):
    worse = [report for _, report in orders[1::2] if not report["none_worse_off"]]

    assert len(worse) >= 3
    for report in worse:
        assert "at most" in report["why_not"] or "short of" in report["why_not"]
    for _, report in orders:
        alone = {tuple(row["members"]) for row in report["better_alone"]}
        losing = [m for m in report["members"] if (m["saving"] or 0.0) < -0.0101]
        assert all((member["name"],) in alone for member in losing)


def test_alone_is_what_the_member_would_pay_alone(orders):
    for members, report in orders:
        for scenario, member in zip(members, report["members"], strict=True):
            plan = run(Planner(scenario).best(), solve)
            if member["alone"] is not None:
                assert member["alone"] == pytest.approx(plan.basket.total, abs=1e-6)
            else:
                assert plan.basket.unmet or None in plan.picks


def test_the_order_of_members_does_not_matter(orders):
    for members, report in orders[:20]:
        shuffled = list(range(len(members)))
        random.Random(7).shuffle(shuffled)
        other = pool([members[i] for i in shuffled])

        assert other.pop("members") == [report["members"][i] for i in shuffled]
        assert other == {key: value for key, value in report.items() if key != "members"}


def test_everything_bought_is_taken_by_somebody(orders):
    for _, report in orders:
        left_over, taken = defaultdict(float), defaultdict(float)
        for row in report["left_over"]:
            left_over[row["item"], row["measure"]] += row["amount"]
        for row in (item for member in report["members"] for item in member["items"]):
            taken[row["item"], row["measure"]] += row["left_over"]
            assert row["taken"] == pytest.approx(
                row["needed"] + row["left_over"] - row["short_by"], rel=1e-8
            )
        for key, amount in taken.items():
            if key[1] != "trays":  # a tray that is used is left over, too
                assert amount == pytest.approx(left_over[key], abs=1e-9)


def test_reports_are_json(orders):
    for _, report in orders:
        assert json.loads(json.dumps(report, allow_nan=False)) == report


def least_of_all_choices(members):
    """Packages, trips and the rest, over every choice of mixes, bought as scipy's milp finds."""
    shelf = joint_shelf({scenario.title: scenario for scenario in members})
    rows = [row for guest in shelf.scenarios for row in Planner(guest).rows]
    costs = []
    for picks in product(*(row.values() or [None] for row in rows)):
        lacks, left = defaultdict(float), list(picks)
        for guest in shelf.scenarios:
            own = [left.pop(0) for _ in guest.sowings]
            for need in needs_of(guest, filter(None, own)):
                lack = max(0.0, need.amount - need.stock)
                lacks[need.item, need.measure, need.packages] += lack
        needs = [Need(item, measure, lack, bags) for (item, measure, bags), lack in lacks.items()]
        stores, tax = shelf.scenarios[0].stores, members[0].tax
        money = least_money(needs, stores=stores, tax=tax) if needs else 0.0
        costs.append(money + math.fsum(pick.rest for pick in picks if pick))
    return min(costs)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("seed", range(30))
def test_no_choice_of_mixes_is_cheaper_for_all(seed):
    members = random_members(random.Random(seed), limits=False)

    report = pool(members, split="equal")

    assert report["with_the_rest"] == pytest.approx(least_of_all_choices(members), abs=1e-5)


@pytest.mark.parametrize("seed", range(60))
def test_with_nothing_at_home_it_is_the_plan_of_one_who_has_all_sowings(seed):
    rng = random.Random(seed)
    shelf = random_scenario(rng, media=3, sowings=4)
    shelf = replace(
        shelf,
        left_over_counts=rng.choice([0.0, 0.0, 0.5, 1.0]),
        media=tuple(replace(medium, stock=0.0) for medium in shelf.media),
        ingredients=tuple(replace(row, stock=0.0) for row in shelf.ingredients),
    )
    cut = rng.randint(0, 4)
    members = [
        replace(shelf, title=title, sowings=sowings)
        for title, sowings in (("Ann", shelf.sowings[:cut]), ("Ben", shelf.sowings[cut:]))
    ]

    report, one = pool(members, split="equal"), run(Planner(shelf).best(), solve)

    assert report["proven"] and one.proven
    assert report["weighed_cost"] == pytest.approx(one.weighed_cost, abs=1e-6)
    short = [math.fsum(row["short_by"] for row in report["unmet"])]
    assert short == pytest.approx([math.fsum(row["short_by"] for row in one.basket.unmet)])


@pytest.mark.parametrize("counts", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("seed", range(8))
def test_one_member_does_what_it_would_alone(seed, counts):
    (member, *_) = random_members(random.Random(seed), limits=False, sowings=3)
    alone = replace(member, left_over_counts=counts)

    report = pool([alone])

    one = run(Planner(alone).best(), solve)
    assert report["weighed_cost"] == pytest.approx(one.weighed_cost, abs=1e-6)
    assert report["members"][0]["pays"] == pytest.approx(one.basket.total, abs=0.0051)


# A small club, by hand.


@pytest.fixture
def document():
    return {
        "format": "seedling-costs/2",
        "title": "Ann",
        "currency": "EUR",
        "assurance": None,
        "stores": [{"name": "Lane"}, {"name": "Depot", "trip_cost": 4}],
        "media": [
            {
                "name": "Mix",
                "feeds_for_weeks": 8,
                "fill_loss": 0,
                "packages": [
                    {"store": "Lane", "size": 10, "unit": "L", "price": 6},
                    {"store": "Depot", "size": 70, "unit": "L", "price": 14},
                ],
            }
        ],
        "ingredients": [],
        "sowings": [{"crop": "leek", "wanted": 100, "cell_ml": 100, "weeks": 6, "germination": 1}],
    }


def member(document, title, wanted):
    mine = copy.deepcopy(document)
    mine["title"] = title
    mine["sowings"][0]["wanted"] = wanted
    return mine


def two_mixes(document):
    """10 L of the fine mix cost 12.49, 50 L of the bulk mix 16.99."""
    fine = document["media"][0]
    fine |= {"packages": [{"store": "Lane", "size": 10, "unit": "L", "price": 12.49}]}
    bulk = fine | {"name": "Bulk"}
    bulk["packages"] = [{"store": "Lane", "size": 50, "unit": "L", "price": 16.99}]
    document["media"].append(bulk)
    return document


def test_mixes_are_chosen_for_all_together(document):
    two_mixes(document)
    report = pool([read(member(document, title, 100)) for title in ("Ann", "Ben")])

    # Alone each buys 10 L of the fine mix for 12.49; for both one bag of the bulk mix does.
    assert report["alone"] == pytest.approx(24.98)
    assert report["total"] == 16.99
    assert [row["medium"] for row in report["plan"]] == ["Bulk", "Bulk"]
    assert [row["member"] for row in report["plan"]] == ["Ann", "Ben"]
    assert sorted(m["pays"] for m in report["members"]) == [8.49, 8.5]


def test_a_mix_that_somebody_insists_on_is_kept_and_what_it_costs_is_said(document):
    two_mixes(document)
    ann = member(document, "Ann", 100)
    ann["sowings"][0]["medium"] = "Mix"
    report = pool([read(ann), read(member(document, "Ben", 100))])

    assert report["total"] == pytest.approx(24.98)
    (insists,) = report["insists"]
    assert (insists["member"], insists["crops"], insists["media"]) == ("Ann", ["leek"], ["Mix"])
    assert insists["costs"] == pytest.approx(24.98 - 16.99)
    assert insists["sentence"] == "Ann keeps Mix for leek: it costs 7.99 EUR more."


def test_an_insistence_that_costs_nothing_is_said_to(document):
    document["sowings"][0]["medium"] = "Mix"

    (insists,) = pool([read(document)])["insists"]

    assert insists["costs"] == 0 and "nothing more" in insists["sentence"]


def test_a_mix_of_others_is_open_to_all(document):
    two_mixes(document)
    ann = member(document, "Ann", 100) | {"media": document["media"][:1]}
    report = pool([read(ann), read(member(document, "Ben", 100))])

    assert report["total"] == 16.99


def test_a_small_club_by_hand(document):
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 200), ("Cy", 300))]
    report = pool([read(mine) for mine in club])

    # 10, 20 and 30 L. Alone: one small bag, 6; two, 12; a big one and the trip, 18; so for any two
    # with 30 L or more. Over the six sequences Ann adds 6, 6, 6, 0, 0, 0, Ben 12, 12, 12, 0, 0, 0
    # and Cy 18, 18, 6, 12, 0, 0, where Ann and Ben together pay 18.
    assert [m["alone"] for m in report["members"]] == [6, 12, 18]
    assert report["total"] == 18
    assert [m["pays"] for m in report["members"]] == [3, 6, 9]
    assert [m["saving"] for m in report["members"]] == [3, 6, 9]
    assert (report["alone"], report["saving"]) == (36, 18)
    assert [m["trips"] for m in report["members"]] == [0.67, 1.33, 2]
    assert report["left_over"] == [
        {"item": "Mix", "amount": pytest.approx(10), "measure": "L", "worth": pytest.approx(2)}
    ]
    assert [m["items"][0]["left_over"] for m in report["members"]] == pytest.approx(
        [10 / 6, 20 / 6, 30 / 6]
    )
    assert [s["goes"] for s in report["stores"]] == [["Ann", "Ben", "Cy"]]
    assert report["split"]["rule"] == "shapley" and report["split"]["error"] == 0


def test_the_saving_can_be_divided_equally(document):
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 200), ("Cy", 300))]
    report = pool([read(mine) for mine in club], split="equal")

    assert [m["saving"] for m in report["members"]] == [6, 6, 6]
    assert [m["pays"] for m in report["members"]] == [0, 6, 12]
    with pytest.raises(ValueError, match="split must be one of"):
        pool([read(document)], split="by size")


@pytest.mark.parametrize("split", ["shapley", "equal"])
@pytest.mark.parametrize("seed_price", [0.0, 0.05])
def test_a_pair_that_would_do_better_by_itself_is_told(document, split, seed_price):
    document["media"][0]["packages"] = [
        {"store": "Lane", "size": 5, "unit": "L", "price": 7},
        {"store": "Lane", "size": 10, "unit": "L", "price": 10},
    ]
    document["sowings"][0]["seed_price"] = seed_price
    club = [read(member(document, title, 50)) for title in ("Ann", "Ben", "Cy")]
    report = pool(club, split=split)

    # 5 L each: two share a bag for 10, the third costs 7 more. Everybody pays a third of 17, and
    # for seed as much as alone.
    assert report["total"] == 17
    assert sorted(m["pays"] for m in report["members"]) == [5.66, 5.67, 5.67]
    assert [len(row["members"]) for row in report["better_alone"]] == [2, 2, 2]
    assert max(row["saves"] for row in report["better_alone"]) == pytest.approx(1.34)
    assert report["none_worse_off"]


KINDS = {
    "medium": ({"stock": 500.0}, "media"),
    "ingredient": ({"stock": 500.0}, "ingredients"),
    "tray": ({"have": 9}, "trays"),
    "feed": ({"stock": 5000.0}, "feed"),
    "seed": ({"seed_stock": 5000}, "sowings"),
}


@pytest.mark.parametrize("kind", KINDS)
def test_what_one_has_at_home_serves_nobody_else(document, kind):
    document["media"][0] |= {"feeds_for_weeks": 2, "parts": [{"ingredient": "Coir", "parts": 1}]}
    bags = document["media"][0].pop("packages")
    document["ingredients"] = [{"name": "Coir", "packages": bags}]
    if kind == "medium":
        document["media"][0].pop("parts")
        document["media"][0]["packages"] = bags
    document["feed"] = {
        "name": "Feed", "per_week": 1, "ml_per_cell": 10, "g_per_litre": 1,
        "packages": [{"store": "Lane", "size": 1, "unit": "g", "price": 1}],
    }  # fmt: skip
    document["trays"] = [
        {"name": "72 cells", "cells": 72, "price": 3, "uses": 3, "have": 0, "store": "Lane"}
    ]
    document["sowings"][0] |= {
        "tray": "72 cells",
        "seed_packets": [{"store": "Lane", "seeds": 30, "price": 2}],
    }
    rich, poor = member(document, "Ann", 100), member(document, "Ben", 200)
    home, table = KINDS[kind]
    (rich[table] if table == "feed" else rich[table][0]).update(home)
    item = {"medium": "Mix", "ingredient": "Coir", "tray": "72 cells", "feed": "Feed"}
    item = item.get(kind, "seed of leek")

    report = pool([read(rich), read(poor)])

    ann, ben = ({row["item"]: row for row in m["items"]} for m in report["members"])
    alone = {row["item"]: row["needed"] for row in pool([read(poor)])["members"][0]["items"]}
    assert item not in ann and len(ann) == len(ben) - 1
    assert ben[item]["needed"] == pytest.approx(alone[item])
    assert report["total"] == pytest.approx(least_of_all_choices([read(rich), read(poor)]))


def test_packets_of_seed_are_shared_where_the_crop_is_the_same(document):
    document["sowings"][0]["seed_packets"] = [{"store": "Lane", "seeds": 300, "price": 3}]
    report = pool([read(member(document, title, 100)) for title in ("Ann", "Ben")])
    other = member(document, "Ben", 100)
    other["sowings"][0]["crop"] = "kale"

    assert report["total"] == 6 + 6 + 3
    assert pool([read(document), read(other)])["total"] == 6 + 6 + 3 + 3


def test_more_that_is_used_at_home_is_made_up_for(document):
    # In the bulk mix half the seed comes up: 100 more seeds at 0.01 for Ann, whose seed is dear.
    two_mixes(document)
    document["media"][1]["emergence"] = {"leek": 0.5}
    document["media"][1]["packages"][0] |= {"size": 80}
    ann = member(document, "Ann", 100)
    ann["sowings"][0]["seed_price"] = 0.01
    report = pool([read(ann), read(member(document, "Ben", 100))])

    first, second = report["members"]
    assert report["total"] == 16.99 and report["with_the_rest"] == pytest.approx(18.99)
    assert (first["besides"], second["besides"]) == (1.0, 0.0)
    # Alone 13.49 and 12.49, together 18.99: each saves 3.495. Ann uses 1.00 more, so she pays
    # 13.49 - 3.495 - 2.00 and Ben 12.49 - 3.495.
    assert first["saving"] == pytest.approx(second["saving"], abs=0.01)
    assert [first["pays"], second["pays"]] == pytest.approx([7.995, 8.995], abs=0.0051)


def test_who_has_it_cheaper_alone_pays_no_more_than_that(document):
    ann = member(document, "Ann", 100)
    ann["media"][0]["stock"] = 9.9
    dot = member(document, "Dot", 60)
    dot["stores"].append({"name": "Gift"})
    dot["media"][0]["packages"].append(
        {"store": "Gift", "size": 6, "unit": "L", "price": 0.5, "limit": 1}
    )
    report = pool([read(ann), read(dot)])

    # Dot alone takes the gift bag of 6 L for 0.50; the 0.1 L that Ann lacks need a bag of 6.
    assert [m["alone"] for m in report["members"]] == [6, 0.5]
    assert report["total"] == 6
    assert [m["pays"] for m in report["members"]] == [5.5, 0.5]


def test_a_limit_can_leave_the_members_worse_off_and_the_report_says_so(document):
    document["media"][0]["packages"][0]["limit"] = 1
    document["media"][0]["packages"][1]["price"] = 40
    club = [member(document, title, 100) for title in ("Ann", "Ben")]
    report = pool([read(mine) for mine in club])

    # Each alone has the one small bag for 6. Together: the small one is not enough, 44 for the big.
    assert (report["total"], report["alone"]) == (44, 12)
    assert report["none_worse_off"] is False
    assert [m["pays"] for m in report["members"]] == [22, 22]
    assert "Mix, 10 L at Lane (at most 1, wanted 2)" in report["why_not"]
    assert [row["sentence"] for row in report["better_alone"]] == [
        "Ann would do better alone, by 16.00 EUR.",
        "Ben would do better alone, by 16.00 EUR.",
    ]


def test_a_limit_that_leaves_the_order_short_is_shared_by_need(document):
    document["media"][0]["packages"] = [
        {"store": "Lane", "size": 10, "unit": "L", "price": 6, "limit": 3}
    ]
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 300))]
    report = pool([read(mine) for mine in club])

    # Ann's 10 L cost 6, Ben's 30 L 18, which is all that can be had for both.
    assert report["unmet"] == [{"item": "Mix", "short_by": pytest.approx(10), "measure": "L"}]
    assert [m["items"][0]["short_by"] for m in report["members"]] == pytest.approx([2.5, 7.5])
    assert [m["pays"] for m in report["members"]] == [3, 15]
    assert report["none_worse_off"] is False
    assert "short of Mix" in report["why_not"]


@pytest.mark.parametrize("count", [2, 3])
def test_members_with_the_same_name_are_told_apart(document, count):
    names = [m["name"] for m in pool([read(document)] * count)["members"]]

    assert sorted(names) == ["Ann (1)", "Ann (2)", "Ann (3)"][:count]


def test_a_member_is_over_its_own_budget_or_not_at_all(document):
    budgets = {"Ann": {}, "Ben": {"budget": 1000.0}, "Cem": {"budget": 0.5}}
    members = [read(member(document, name, 20) | own) for name, own in budgets.items()]
    rows = pool(members)["members"]

    assert [row["over_budget_by"] for row in rows] == [0, 0, pytest.approx(rows[2]["pays"] - 0.5)]


def test_the_report_has_the_keys_of_a_shopping_list_and_more():
    demo = read(DEMO)
    report = pool([demo])

    assert report["format"] == "seedling-costs-pool/2"
    assert set(shop(demo)) - {"format"} <= set(report)
    assert report["total"] == shop(demo)["total"] == report["members"][0]["pays"]


def test_money_without_cents(document):
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 150))]
    report = pool([read(mine | {"currency": "JPY"}) for mine in club], decimals=0)

    assert sum(m["pays"] for m in report["members"]) == report["total"] == 18
    assert all(m["pays"] == int(m["pays"]) for m in report["members"])


def test_tax_that_makes_parts_of_a_cent_leaves_nobody_worse_off(document):
    document["tax"] = 0.0008
    document["media"][0]["packages"] = [{"store": "Lane", "size": 10, "unit": "L", "price": 0.18}]
    report = pool([read(member(document, f"{n}", 100)) for n in range(50)], split="equal")

    # 50 bags at 0.180144 are 9.0072, to pay 9.01; alone each pays 0.18, in sum 9.00. So own bills
    # are rounded up.
    assert report["none_worse_off"]
    assert sum(cents(m["pays"]) for m in report["members"]) == 901


def test_a_larger_club_is_sampled_and_says_how_well(document):
    club = [member(document, f"{n}", 30 + 20 * n) for n in range(9)]
    report = pool([read(mine) for mine in club])

    assert 0 < report["split"]["error"] < 1
    assert "sampled" in report["split"]["sentence"]
    assert sum(cents(m["pays"]) for m in report["members"]) == cents(report["total"])
    assert report["none_worse_off"]
    assert all(m["saving"] >= 0 for m in report["members"])


def test_after_some_groups_without_a_proof_the_others_get_less_time(document, monkeypatch):
    monkeypatch.setattr(payments, "MOST_UNPROVEN", 2)
    scenarios = {name: read(member(document, name, 20)) for name in ("Ann", "Ben", "Cem")}
    members = run(members_of(scenarios, joint_shelf(scenarios)), solve)
    best, seconds = run(JointPlanner(members).best(), solve), []

    def without_proof(program):
        seconds.append(program["seconds"])
        return solve(program) | {"proven": False, "bound": None}

    run(payments.owed_by(members, best, "shapley"), without_proof)

    assert seconds == [1.0, 1.0] + [0.1] * (len(seconds) - 2)
    assert len(seconds) > 3


def test_a_shop_is_visited_by_whom_it_costs_least(document):
    near = member(document, "Ben", 300)
    near["stores"][1]["trip_cost"] = 1.5
    report = pool([read(member(document, "Ann", 300)), read(near)])

    assert [(s["store"], s["trip_cost"], s["goes"]) for s in report["stores"]] == [
        ("Depot", 1.5, ["Ben"])
    ]


def test_a_shelf_without_sowings_adds_its_bags(document):
    shelf = member(document, "Shelf", 1) | {"sowings": []}
    shelf["media"][0]["packages"].append({"store": "Lane", "size": 40, "unit": "L", "price": 1})
    report = pool([read(shelf), read(document)])

    assert report["total"] == 1
    assert [m["pays"] for m in report["members"]] == [0, 1]


def test_who_could_raise_nothing_alone_has_no_own_list_to_compare(document):
    lean = member(document, "Lea", 100)
    lean["media"][0]["feeds_for_weeks"] = 2
    lean["media"][0]["name"] = "Lean mix"
    report = pool([read(lean), read(document)])

    assert [m["alone"] for m in report["members"]] == [None, 6]
    assert [row["medium"] for row in report["plan"]] == ["Mix", "Mix"]
    assert report["saving"] is None and report["none_worse_off"]
    assert report["members"][1]["pays"] <= 6


def test_differences_are_named_all_at_once(document):
    ben = member(document, "Ben", 100)
    ben["media"][0]["packages"][0] |= {"price": 6.5, "deal": {"take": 3, "pay": 15}}
    ben["media"][0]["packages"][1]["limit"] = 2
    ben |= {"currency": "USD", "tax": 0.1}

    with pytest.raises(PoolError) as caught:
        pool_steps([read(document), read(ben)])
    assert caught.value.differences == (
        "The members differ in currency: EUR, USD; an order needs one.",
        "The members differ in tax: 0.0, 0.1; an order needs one.",
        "Mix, 10 L at Lane: price 6.00 EUR for Ann, price 6.50 EUR and 3 for 15.00 EUR for Ben;"
        " agree on one.",
        "Mix, 70 L at Depot: price 14.00 EUR for Ann, price 14.00 EUR and at most 2 for Ben;"
        " agree on one.",
    )


def test_members_who_count_leftovers_differently_are_told(document):
    ben = member(document, "Ben", 100) | {"left_over_counts": 0.5}

    (notice,) = pool([read(document), read(ben)])["notices"]
    assert notice.endswith("the order takes the least, 0 %.")


def test_plans_that_are_not_proven_are_told(document):
    two = [read(member(document, title, 100)) for title in ("Ann", "Ben")]

    report = pool(two, solve=lambda model: solve(model) | {"proven": False})

    assert not report["proven"] and not report["split"]["proven"]
    assert sum("proof" in notice for notice in report["notices"]) == 2
    assert "as good as the plans found" in report["notices"][-1]
    assert sum(cents(m["pays"]) for m in report["members"]) == cents(report["total"])


def test_a_page_may_solve_elsewhere_and_pause(document):
    work = pool_steps([read(member(document, title, 100)) for title in ("Ann", "Ben")])
    asked, answer = [], None
    with pytest.raises(StopIteration) as ended:
        while True:
            asked.append(work.send(answer))
            answer = asked[-1] and solve(json.loads(json.dumps(asked[-1])))

    assert ended.value.value == pool(
        [read(member(document, title, 100)) for title in ("Ann", "Ben")]
    )
    assert None in asked


def test_nobody_makes_no_order():
    with pytest.raises(PoolError, match="at least one member"):
        pool([])


def test_names_that_may_mean_one_thing_are_pointed_out(document):
    ben = member(document, "Ben", 100)
    ben["media"][0]["name"] = "mix "

    (notice,) = pool([read(document), read(ben)])["notices"]
    assert notice.startswith("Mix and mix  are counted as different items")
