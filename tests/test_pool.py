"""A club's order costs the least, and each member pays a fair part of it and no more than alone."""

import copy
import json
import math
import random
from dataclasses import replace

import pytest

from pennyflat.cover import Need
from pennyflat.demo import DEMO
from pennyflat.joint_shelf import joint_shelf
from pennyflat.plan import best_plan
from pennyflat.pool import PoolError, pool
from pennyflat.scenario import read
from tests.milp import least_money
from tests.strategies import random_scenario

POOLS = 300
"""Random orders of two to four members. [count]"""


def random_members(rng, *, limits):
    """Members with one shelf, who differ in crops, stock, trips and what they know of the shelf."""
    shelf = random_scenario(rng, limits=limits, media=3, sowings=0)
    if limits:
        shelf = replace(shelf, media=tuple(_scarce(rng, medium) for medium in shelf.media))
    return [_random_member(rng, shelf, f"Member {n}", limits) for n in range(rng.randint(2, 4))]


def _scarce(rng, medium):
    packages = (
        replace(package, deal=None, limit=rng.choice([1, 2, None])) for package in medium.packages
    )
    return replace(medium, packages=tuple(packages))


def _random_member(rng, shelf, title, limits):
    own = random_scenario(rng, limits=limits, media=3, sowings=rng.randint(0, 3), wanted=80)
    media = tuple(
        replace(medium, stock=rng.choice([0.0, medium.stock]), fill_loss=rng.choice([0.1, 0.2]))
        for medium in shelf.media
    )
    media = tuple(
        replace(medium, packages=medium.packages[: rng.randint(1, 3)]) for medium in media
    )
    stores = tuple(replace(s, trip_cost=s.trip_cost * rng.choice([1, 1, 2])) for s in shelf.stores)
    return replace(shelf, title=title, media=media, stores=stores, sowings=own.sowings)


def cents(money):
    return round(money * 100)


@pytest.fixture(scope="module")
def orders():
    """(members, report) of many random orders, half of them with limits."""
    found = []
    for seed in range(POOLS):
        members = random_members(random.Random(seed), limits=seed % 2 == 1)
        found.append((members, pool(members)))
    return found


def test_payments_come_to_the_bill_to_the_cent(orders):
    for _, report in orders:
        assert sum(cents(member["pays"]) for member in report["members"]) == cents(report["bill"])
        assert abs(report["bill"] - report["total"]) <= 0.005 + 1e-9


def test_nobody_pays_more_than_alone(orders):
    for _, report in orders:
        if report["none_worse_off"]:
            for member in report["members"]:
                assert member["alone"] is None or member["pays"] <= member["alone"]
                assert member["saves"] is None or member["saves"] >= 0


def test_without_limits_nobody_is_ever_worse_off(orders):
    for _, report in orders[::2]:
        assert report["none_worse_off"] and report["why_not"] is None
        assert report["bill"] <= report["alone_total"]
        assert report["unmet"] == []


def test_with_limits_it_is_said_when_somebody_is(orders):
    reasons = [report["why_not"] for _, report in orders[1::2] if not report["none_worse_off"]]

    assert len(reasons) >= 3
    assert all("at most" in reason or "short of" in reason for reason in reasons)


def test_alone_is_what_the_member_would_pay_alone(orders):
    for members, report in orders:
        for scenario, member in zip(members, report["members"], strict=True):
            basket = best_plan(scenario).plan.basket
            if basket.unmet:
                assert member["alone"] is None
            else:
                assert member["alone"] == pytest.approx(basket.total, abs=0.01)


def test_the_order_of_members_does_not_matter(orders):
    for members, report in orders[:40]:
        shuffled = list(range(len(members)))
        random.Random(7).shuffle(shuffled)
        other = pool([members[i] for i in shuffled])

        assert other.pop("members") == [report["members"][i] for i in shuffled]
        assert other == {key: value for key, value in report.items() if key != "members"}


def test_the_joint_list_costs_what_highs_finds(orders):
    for members, report in orders:
        scenarios = {scenario.title: scenario for scenario in members}
        wanted = {}
        for row in (item for member in report["members"] for item in member["items"]):
            key = row["item"], row["measure"]
            wanted[key] = wanted.get(key, 0.0) + row["needed"]
        needs = [
            Need(*key, amount, joint_shelf(scenarios, *key).packages)
            for key, amount in wanted.items()
        ]
        stores = [
            replace(store, trip_cost=min(m.stores[n].trip_cost for m in members))
            for n, store in enumerate(members[0].stores)
        ]
        if needs:
            money = least_money(needs, stores=stores, tax=members[0].tax)
            assert report["total"] == pytest.approx(money, abs=1e-6)


def test_everything_bought_is_taken_by_somebody(orders):
    for _, report in orders:
        left_over = {(row["item"], row["measure"]): row["amount"] for row in report["left_over"]}
        short = {(row["item"], row["measure"]): row["short_by"] for row in report["unmet"]}
        rows = [item for member in report["members"] for item in member["items"]]
        for key in {(row["item"], row["measure"]) for row in rows}:
            mine = [row for row in rows if (row["item"], row["measure"]) == key]
            assert math.fsum(row["left_over"] for row in mine) == pytest.approx(
                left_over.get(key, 0.0)
            )
            assert math.fsum(row["short_by"] for row in mine) == pytest.approx(short.get(key, 0.0))
        for row in rows:
            assert row["taken"] == pytest.approx(
                row["needed"] + row["left_over"] - row["short_by"], rel=1e-8
            )


def test_reports_are_json(orders):
    for _, report in orders:
        assert json.loads(json.dumps(report, allow_nan=False)) == report


# A small club, by hand.


@pytest.fixture
def document():
    return {
        "format": "seedling-costs/1",
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


def test_a_small_club_by_hand(document):
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 200), ("Cy", 300))]
    report = pool([read(mine) for mine in club])

    # 10, 20 and 30 L. Alone: one small bag, 6; two, 12; a big one and the trip, 18. Together: 60 L,
    # one big bag and the trip, 18, with 10 L left over; by 1 : 2 : 3 that is 3, 6 and 9.
    assert [m["alone"] for m in report["members"]] == [6, 12, 18]
    assert [m["pays"] for m in report["members"]] == [3, 6, 9]
    assert [m["saves"] for m in report["members"]] == [3, 6, 9]
    assert (report["bill"], report["alone_total"], report["saved"]) == (18, 36, 18)
    assert report["left_over"] == [
        {"item": "Mix", "amount": pytest.approx(10), "measure": "L", "worth": pytest.approx(2)}
    ]
    assert [m["items"][0]["left_over"] for m in report["members"]] == pytest.approx(
        [10 / 6, 20 / 6, 30 / 6]
    )
    assert [s["goes"] for s in report["stores"]] == [["Ann", "Ben", "Cy"]]


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
    assert report["bill"] == 6
    assert [m["pays"] for m in report["members"]] == [5.5, 0.5]


def test_a_limit_can_leave_the_members_worse_off_and_the_report_says_so(document):
    document["media"][0]["packages"][0]["limit"] = 1
    document["media"][0]["packages"][1]["price"] = 40
    club = [member(document, title, 100) for title in ("Ann", "Ben")]
    report = pool([read(mine) for mine in club])

    # Each alone has the one small bag for 6. Together: the small one is not enough, 44 for the big.
    assert (report["bill"], report["alone_total"]) == (44, 12)
    assert report["none_worse_off"] is False
    assert [m["pays"] for m in report["members"]] == [22, 22]
    assert "Mix, 10 L at Lane (at most 1, wanted 2)" in report["why_not"]


def test_a_limit_that_leaves_the_order_short_is_shared_by_need(document):
    document["media"][0]["packages"] = [
        {"store": "Lane", "size": 10, "unit": "L", "price": 6, "limit": 3}
    ]
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 300))]
    report = pool([read(mine) for mine in club])

    assert report["unmet"] == [{"item": "Mix", "short_by": 10, "measure": "L"}]
    assert [m["items"][0]["short_by"] for m in report["members"]] == pytest.approx([2.5, 7.5])
    assert [m["pays"] for m in report["members"]] == [4.5, 13.5]
    assert report["none_worse_off"] is False
    assert "short of Mix" in report["why_not"]


def test_members_with_the_same_name_are_told_apart(document):
    names = [m["name"] for m in pool([read(document)] * 3)["members"]]

    assert sorted(names) == ["Ann (1)", "Ann (2)", "Ann (3)"]


def test_one_member_pays_what_it_would_alone():
    (only,) = pool([read(DEMO)])["members"]

    assert only["pays"] == only["alone"]


def test_money_without_cents(document):
    club = [member(document, title, n) for title, n in (("Ann", 100), ("Ben", 150))]
    report = pool([read(mine | {"currency": "JPY"}) for mine in club], decimals=0)

    assert sum(m["pays"] for m in report["members"]) == report["bill"] == 18
    assert all(m["pays"] == int(m["pays"]) for m in report["members"])


def test_tax_that_makes_parts_of_a_cent_leaves_nobody_worse_off(document):
    document["tax"] = 0.0008
    document["media"][0]["packages"] = [{"store": "Lane", "size": 10, "unit": "L", "price": 0.18}]
    report = pool([read(member(document, f"{n}", 100)) for n in range(50)])

    # 50 bags at 0.180144 are 9.0072, to pay 9.01; alone each pays 0.18, in sum 9.00. So own bills
    # are rounded up.
    assert report["bill"] == 9.01
    assert report["none_worse_off"]
    assert sum(cents(m["pays"]) for m in report["members"]) == 901


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


def test_differences_are_named_all_at_once(document):
    ben = member(document, "Ben", 100)
    ben["media"][0]["packages"][0] |= {"price": 6.5, "deal": {"take": 3, "pay": 15}}
    ben["media"][0]["packages"][1]["limit"] = 2
    ben |= {"currency": "USD", "tax": 0.1}

    with pytest.raises(PoolError) as caught:
        pool([read(document), read(ben)])
    assert caught.value.differences == (
        "The members differ in currency: EUR, USD; an order needs one.",
        "The members differ in tax: 0.0, 0.1; an order needs one.",
        "Mix, 10 L at Lane: price 6 for Ann, price 6.5 and 3 for 15 for Ben; agree on one.",
        "Mix, 70 L at Depot: price 14 for Ann, price 14 and at most 2 for Ben; agree on one.",
    )


def test_nobody_makes_no_order():
    with pytest.raises(PoolError, match="at least one member"):
        pool([])


def test_names_that_may_mean_one_thing_are_pointed_out(document):
    ben = member(document, "Ben", 100)
    ben["media"][0]["name"] = "mix "

    (notice,) = pool([read(document), read(ben)])["notices"]
    assert notice.startswith("Mix and mix  are counted as different items")
