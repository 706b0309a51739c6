"""Several members' shelves as one, and where they contradict each other.

Things are the same if they have the same name and measure. The joint shelf holds everything that
any member lists; the same size at the same shop must be the same package to all who list it, with
one price, yield, deal and limit (or several packages, of which others may list fewer). A mix that
only others list is open to everyone, as the first of them describes it; a member's own description
takes precedence. Each shop is visited once, by the member with the lowest trip cost.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from pennyflat.growing.medium import recipe_of
from pennyflat.scenario.package import TRAYS, Package, contents, label_of
from pennyflat.scenario.records import Scenario, Store
from pennyflat.sentences import Amount, Listed, Money, say
from pennyflat.trade.names import name_key

MEMBERS_NAMED = 3
"""Most members named in a sentence; the rest are counted. [count] Ours."""


@dataclass(frozen=True, slots=True)
class JointShelf:
    """Everything that the members can buy and raise their sowings in."""

    scenarios: tuple[Scenario, ...]
    """Each member's, with everyone's packages, mixes and shops; stock remains their own."""
    goers: dict[str, tuple[str, ...]]
    """By shop, the members with the lowest trip cost."""
    differences: tuple[str, ...]
    """A sentence for each package on which members differ."""


def joint_shelf(scenarios: dict[str, Scenario]) -> JointShelf:
    """
    The shelves of several members, by name, as one.

    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> ann = read(DEMO)
    >>> bag = ann.media[1].packages[0]
    >>> mix = replace(ann.media[1], packages=(replace(bag, price=15.2),))
    >>> ben = replace(ann, media=(mix,), stores=(Store("Farm counter", 1.0),))
    >>> shelf = joint_shelf({"Ann": ann, "Ben": ben})
    >>> print(shelf.differences[0])  # doctest: +NORMALIZE_WHITESPACE
    Bulk potting mix, 2 cu_ft at Farm counter: price 14.50 USD for Ann, price 15.20 USD for Ben;
    agree on one.
    >>> [medium.name for medium in shelf.scenarios[1].media], shelf.goers["Farm counter"]
    (['Bulk potting mix', 'Seed starter mix', 'Home blend'], ('Ben',))
    """
    offers: dict[Any, dict[Any, Any]] = {}
    for name, scenario in scenarios.items():
        for item, measure, packages in _offers(scenario):
            for package in packages:
                if measure in contents(package):
                    label = package.store, package.size, package.unit
                    own = offers.setdefault((item, measure), {}).setdefault(label, {})
                    if package not in own.setdefault(name, []):
                        own[name].append(package)
    packages, differences, everybody = {}, [], tuple(scenarios.values())
    for key, labels in offers.items():
        for by_member in labels.values():
            versions = defaultdict(list)
            for name, own in by_member.items():
                versions[tuple(sorted(own, key=repr))].append(name)
            fullest = max(versions, key=len)
            packages[key] = (*packages.get(key, ()), *fullest)
            if {package for own in versions for package in own} - set(fullest):
                differences.append(_difference(key[0], versions, everybody[0].currency))
    stores, goers = _trips(scenarios)
    counts = min((own.left_over_counts for own in everybody), default=0.0)
    guests = tuple(
        replace(_with_all(own, everybody, packages), stores=stores, left_over_counts=counts)
        for own in everybody
    )
    return JointShelf(guests, goers, tuple(differences))


def _measures(media):
    """The measures of blend ingredients, by name."""
    return {name: measure for medium in media for _, name, measure in recipe_of(medium)}


def _offers(scenario):
    """(item, measure, packages) of everything that is sold and used."""
    measures, feed = _measures(scenario.media), scenario.feed
    for medium in scenario.media:
        yield medium.name, "L", medium.packages
    for row in scenario.ingredients:
        if row.name in measures:
            yield row.name, measures[row.name], row.packages
    if feed:
        yield feed.name, feed.measure, feed.packages
    for tray in scenario.trays:
        if tray.have is not None:
            yield tray.name, TRAYS, (Package(tray.store, 1, TRAYS, tray.price),)


def _with_all(scenario, everybody, packages):
    """A member's scenario with everyone's mixes and packages."""
    media = {medium.name: medium for medium in scenario.media}
    ingredients = {row.name: row for row in scenario.ingredients}
    for other in everybody:
        for medium in other.media:
            uses = _measures([medium])
            known = _measures(media.values())
            if medium.name in media or any(
                known.get(name, uses[name]) != uses[name] for name in uses
            ):
                continue
            media[medium.name] = replace(medium, stock=0.0)
            for name in uses:
                if name not in ingredients:
                    ingredients[name] = replace(other.ingredient(name), stock=0.0)
    measures = _measures(media.values())

    def sold(row, measure):
        return replace(row, packages=packages.get((row.name, measure), row.packages))

    return replace(
        scenario,
        media=tuple(sold(row, "L") if row.packages else row for row in media.values()),
        ingredients=tuple(sold(row, measures.get(row.name)) for row in ingredients.values()),
        feed=scenario.feed and sold(scenario.feed, scenario.feed.measure),
    )


def _trips(scenarios):
    """The shops at the lowest trip cost of any member, and who has that cost, by shop."""
    costs = defaultdict(dict)
    for name, scenario in scenarios.items():
        for store in scenario.stores:
            costs[store.name][name] = store.trip_cost
    least = {store: min(found.values()) for store, found in costs.items()}
    goers = {
        store: tuple(name for name, cost in found.items() if cost == least[store])
        for store, found in costs.items()
    }
    return tuple(Store(*one) for one in least.items()), goers


def alike(names: Iterable[str]) -> list[tuple[str, ...]]:
    """
    Names that differ only in capitals, hyphens, spaces and plurals: probably the same thing.

    >>> alike(["Perlite", "Coir", "perlite "])
    [('Perlite', 'perlite ')]
    """
    found: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for name in names:
        found[name_key(name)][name] = None
    return [tuple(spellings) for spellings in found.values() if len(spellings) > 1]


def _terms(package, currency):
    """The terms in which two packages with the same label can differ, as text."""
    terms = [say("price {price}", price=Money(package.price, currency, in_all=True))]
    if package.yields_l is not None:
        terms.append(say("yielding {volume:g}", volume=Amount(package.yields_l, "mix")))
    if package.deal is not None:
        pay = Money(package.deal.pay, currency, in_all=True)
        terms.append(say("{take} for {pay}", take=package.deal.take, pay=pay))
    if package.limit is not None:
        terms.append(say("at most {limit}", limit=package.limit))
    return say("{terms}", terms=Listed(tuple(terms), "and"))


def _difference(item, found, currency):
    """How members differ on one label; `found` maps packages to members' names."""
    package = next(package for packages in found for package in packages)
    versions = tuple(
        say(
            "{terms} for {members}",
            terms=Listed(tuple(_terms(package, currency) for package in packages), "or"),
            members=_names(names),
        )
        for packages, names in found.items()
    )
    return say(
        "{item}, {label} at {store}: {versions}; agree on one.",
        item=item,
        label=label_of(package),
        store=package.store,
        versions=Listed(versions, ","),
    )


def _names(names):
    shown, more = Listed(tuple(names[:MEMBERS_NAMED]), ","), len(names) - MEMBERS_NAMED
    return say("{names} and {more} more", names=shown, more=more) if more > 0 else shown
