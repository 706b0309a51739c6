"""Hypothesis strategies for domain objects, and seeded random ones where thousands are needed."""

from hypothesis import strategies as st
from pennyflat.cover import Need
from pennyflat.package import Deal, Package
from pennyflat.scenario import Store

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
