"""Hypothesis strategies for domain objects, and seeded random ones where thousands are needed."""

from dataclasses import replace

from hypothesis import strategies as st

from pennyflat.buying.cover import Need
from pennyflat.scenario.package import Deal, Package
from pennyflat.scenario.records import (
    Addition,
    Counts,
    Energy,
    Feed,
    Ingredient,
    Labour,
    Medium,
    Part,
    PotOn,
    Scenario,
    SeedPacket,
    Sowing,
    Store,
    Tray,
)

STORES = (Store("Lane", 0.0), Store("Depot", 3.0), Store("Yard", 4.5))

prices = st.integers(0, 2000).map(lambda cents: cents / 100)
sizes = st.integers(1, 30) | st.integers(1, 300).map(lambda tenths: tenths / 10)


@st.composite
def packages(draw, *, stores=STORES):
    """A package by volume, now and then with a deal or a limit."""
    price = draw(prices)
    deal = None
    if draw(st.booleans()):
        take = draw(st.integers(2, 4))
        deal = Deal(take, round(price * take * draw(st.sampled_from([0.5, 0.7, 0.9, 1.1])), 2))
    return Package(
        store=draw(st.sampled_from([store.name for store in stores])),
        size=draw(sizes),
        unit=draw(st.sampled_from(["L", "L", "qt_dry"])),
        price=price,
        deal=deal,
        limit=draw(st.none() | st.integers(0, 4)),
    )


def needs(*, most_packages=4, most_litres=60):
    """A need of a mix."""
    return st.builds(
        Need,
        item=st.just("Mix"),
        measure=st.just("L"),
        amount=st.integers(0, most_litres * 10).map(lambda tenths: tenths / 10),
        packages=st.lists(packages(), min_size=1, max_size=most_packages).map(tuple),
        stock=st.sampled_from([0.0, 0.0, 2.5, 10.0]),
    )


def random_needs(rng, *, most_packages=12, most_needs=6, most_stores=5):
    """Needs, stores and tax from a `random.Random`; round numbers that tie are frequent."""
    stores = tuple(
        Store(f"Store {i}", rng.choice([0, 0, 1, 2.5, 4.5, 10]))
        for i in range(rng.randint(1, most_stores))
    )
    found = tuple(
        Need(
            f"Item {i}",
            rng.choice(["L", "L", "g", "mL"]),
            rng.choice([rng.randint(0, 40) * 5, round(rng.uniform(0, 150), 3)]),
            tuple(_random_package(rng, stores) for _ in range(rng.randint(1, most_packages))),
            rng.choice([0.0, 0.0, 5.0, round(rng.uniform(0, 30), 2)]),
        )
        for i in range(rng.randint(1, most_needs))
    )
    return tuple(_in_measure(need) for need in found), stores, rng.choice([0.0, 0.0, 0.05, 0.19])


def _random_package(rng, stores):
    size = rng.choice([5, 8, 10, 16, 20, 25, 28, 40, 50, 70, round(rng.uniform(1, 80), 1)])
    price = rng.choice(
        [rng.randint(1, 20), round(size * 0.5, 2), round(size * rng.uniform(0.15, 0.8), 2)]
    )
    take = rng.randint(2, 4)
    pay = round(price * take * rng.uniform(0.4, 1.05), 2)
    return Package(
        store=rng.choice(stores).name,
        size=size,
        unit="L",
        price=price,
        deal=Deal(take, pay) if rng.random() < 0.3 else None,
        limit=rng.randint(0, 6) if rng.random() < 0.3 else None,
    )


def _in_measure(need):
    """Labels that fit the need's measure, the amounts being what they were."""
    if need.measure == "L":
        return need
    return Need(
        need.item,
        need.measure,
        need.amount,
        tuple(
            Package(
                p.store,
                p.size,
                "g" if need.measure == "g" else "mL",
                p.price,
                None,
                p.deal,
                p.limit,
            )
            for p in need.packages
        ),
        need.stock,
    )


CROPS = ("tomato", "lettuce", "kale", "leek", "basil", "pepper", "onion", "celery", "chard")


def random_scenario(rng, *, media=4, sowings=4, stores=3, limits=True, wanted=120):
    """
    A scenario from a `random.Random` in which mixes are left open.

    Some media are blends, some at home already; some sowings are potted on or get no remedy.
    """
    places = tuple(Store(f"Store {i}", rng.choice([0.0, 2.0, 3.5, 6.0])) for i in range(stores))
    ingredients = tuple(
        Ingredient(
            name,
            tuple(_scenario_package(rng, places, unit, limits) for _ in range(rng.randint(1, 3))),
            rng.choice([0.0, 0.0, 3.0]),
        )
        for name, unit in (("Coir", "L"), ("Grit", "L"), ("Meal", "kg"))
    )
    mixes = tuple(_random_medium(rng, f"Mix {i}", places, limits) for i in range(media))
    feed = Feed(
        "Feed", rng.choice([1, 2]), 15.0, (_scenario_package(rng, places, "kg", limits),),
        n_percent=20.0, target_ppm_n=100.0,
    )  # fmt: skip
    return Scenario(
        format="seedling-costs/2",
        title="Random",
        currency="EUR",
        stores=places,
        media=mixes,
        ingredients=ingredients,
        trays=(Tray("72 cells", 72, 3.6, 4),),
        sowings=tuple(_random_sowing(rng, mixes, wanted) for _ in range(sowings)),
        tax=rng.choice([0.0, 0.07]),
        feed=feed if rng.random() < 0.8 else None,
        energy=Energy(40, 16, 20, 7, 0.3, 144) if rng.random() < 0.5 else None,
    )


def _scenario_package(rng, stores, unit, limits):
    size = {"L": rng.choice([5, 8, 10, 20, 25, 40, 50, 70]), "kg": rng.choice([0.5, 1, 2])}[unit]
    price = round({"L": 1 + 0.4 * size**0.85, "kg": 3 + 4 * size}[unit] * rng.uniform(0.7, 1.3), 2)
    return Package(
        store=rng.choice(stores).name,
        size=size,
        unit=unit,
        price=price,
        deal=Deal(3, round(price * rng.uniform(2.0, 2.9), 2)) if rng.random() < 0.2 else None,
        limit=rng.randint(1, 3) if limits and rng.random() < 0.2 else None,
    )


def _random_medium(rng, name, stores, limits):
    shared = {
        "name": name,
        "feeds_for_weeks": rng.choice([2, 3, 5, 6, 8]),
        "fill_loss": rng.choice([0.1, 0.12, 0.15]),
        "pace": rng.choice([1.0, 1.0, 1.1]),
        "emergence": {crop: rng.uniform(0.4, 0.95) for crop in CROPS if rng.random() < 0.3},
        "stock": rng.choice([0.0, 0.0, 4.0]),
    }
    if rng.random() < 0.25:
        return Medium(
            **shared,
            shrink=0.08,
            parts=(Part("Coir", rng.choice([1, 2])), Part("Grit", 1)),
            additions=(Addition("Meal", 3.0),) if rng.random() < 0.5 else (),
        )
    packages = tuple(_scenario_package(rng, stores, "L", limits) for _ in range(rng.randint(1, 3)))
    return Medium(**shared, packages=packages)


def _random_sowing(rng, mixes, wanted):
    remedy = rng.choice(["feed", "feed", "feed", "none", "pot_on"])
    return Sowing(
        crop=rng.choice(CROPS),
        wanted=rng.randint(5, wanted),
        cell_ml=rng.choice([15, 25, 60, 100]),
        weeks=rng.choice([3, 4, 6, 8]),
        germination=rng.uniform(0.6, 0.95),
        seeds_per_cell=rng.choice([1, 2]),
        survival=0.95,
        seed_price=rng.choice([0.01, 0.05, 0.1]),
        tray="72 cells",
        remedy=remedy,
        medium=rng.choice(mixes).name if rng.random() < 0.1 else None,
        pot_on=PotOn(rng.choice(mixes).name, 300.0) if remedy == "pot_on" else None,
    )


def whole_scenario(rng, *, limits=True, **more):
    """
    A `random_scenario` with all that the till knows.

    Packets and stock of seed, trays at home and to be bought, potting on into trays, early and
    late, pre-sprouted seed, counts for shares, survival by medium, and leftovers that count.
    """
    found = random_scenario(rng, limits=limits, **more)
    stores = [store.name for store in found.stores]
    trays = tuple(
        Tray(
            name,
            cells,
            rng.choice([0.8, 2.5, 3.6]),
            rng.choice([1, 3, 4]),
            have=rng.choice([None, 0, 1, 3]),
            store=rng.choice(stores),
        )
        for name, cells in (("24 cells", 24), ("72 cells", 72), ("15 pots", 15))
    )
    packets = {
        crop: tuple(_packet(rng, stores, limits) for _ in range(rng.randint(1, 2)))
        for crop in CROPS
        if rng.random() < 0.6
    }
    feed = found.feed
    if feed and rng.random() < 0.5:
        feed = replace(feed, stock=rng.choice([0.0, 1.5]))
    return replace(
        found,
        trays=trays,
        media=tuple(_with_counts(rng, medium) for medium in found.media),
        sowings=tuple(_as_sold(rng, sowing, packets) for sowing in found.sowings),
        feed=feed,
        labour=Labour(0.5, 12.0) if rng.random() < 0.3 else None,
        assurance=rng.choice([0.9, 0.9, 0.8, None]),
        left_over_counts=rng.choice([0.0, 0.3, 1.0]),
    )


def _packet(rng, stores, limits):
    price = rng.choice([1.9, 2.6, 3.2, 4.5])
    holds = rng.choice([{"seeds": 40}, {"seeds": 100}, {"grams": 0.5, "seeds_per_gram": 300.0}])
    return SeedPacket(
        rng.choice(stores),
        price,
        deal=Deal(3, round(2.4 * price, 2)) if rng.random() < 0.2 else None,
        limit=rng.randint(1, 4) if limits and rng.random() < 0.2 else None,
        **holds,
    )


def _with_counts(rng, medium):
    emergence = {
        crop: Counts(round(20 * share), 20) if rng.random() < 0.3 else share
        for crop, share in medium.emergence.items()
    }
    survival = {crop: rng.choice([0.8, 0.9]) for crop in CROPS if rng.random() < 0.2}
    return replace(medium, emergence=emergence, survival=survival)


def _as_sold(rng, sowing, packets):
    move = sowing.pot_on
    if move:
        move = replace(
            move, tray=rng.choice([None, "15 pots"]), at_week=rng.choice([None, 2.0, 4.0, 7.0])
        )
    return replace(
        sowing,
        tray=rng.choice([None, "24 cells", "72 cells"]),
        seed_packets=packets.get(sowing.crop, ()),
        seed_stock=rng.choice([0, 0, 25]),
        presprout=rng.random() < 0.15,
        germination=Counts(17, 20) if rng.random() < 0.2 else sowing.germination,
        pot_on=move,
    )
