"""What several members' shelves are together, and where they contradict each other.

Things are the same where they have the same name and are counted in the same measure. The joint
shelf is everything that any member lists; the same size at the same shop must be the same package
to all who list it, with one price, yield, deal and limit (or several packages, of which others may
list fewer). A shop is visited once, by a member to
whom that costs least.
"""

from collections import defaultdict
from dataclasses import dataclass

from pennyflat.package import Package, label_of, measures_of
from pennyflat.saying import Amount, Listed, say
from pennyflat.scenario import Store

MEMBERS_NAMED = 3
"""Members named in a sentence; the others are counted. [count] Ours."""


@dataclass(frozen=True, slots=True)
class JointShelf:
    """The packages of one item, of all members together."""

    packages: tuple[Package, ...]
    differences: tuple[str, ...]
    """A sentence for each package on which members differ."""


@dataclass(frozen=True, slots=True)
class Trip:
    """A shop, what going there costs at least, and whom it costs that little."""

    store: Store
    goers: tuple[str, ...]


def joint_shelf(scenarios, item, measure):
    """
    The packages in which an item can be had by any of several members.

    Parameters
    ----------
    scenarios : dict of str to Scenario
        By the member's name.
    item : str
        Name of a medium, an ingredient or a feed.
    measure : {"L", "g", "mL"}
        Measure in which it is needed; packages that cannot be counted in it are left out.

    Returns
    -------
    JointShelf

    Examples
    --------
    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> ann = read(DEMO)
    >>> bag = ann.media[1].packages[0]
    >>> mix = replace(ann.media[1], packages=(replace(bag, price=15.2),))
    >>> ben = replace(ann, media=(ann.media[0], mix, ann.media[2]))
    >>> print(joint_shelf({"Ann": ann, "Ben": ben}, mix.name, "L").differences[0])
    Bulk potting mix, 2 cu_ft at Farm counter: price 14.5 for Ann, price 15.2 for Ben; agree on one.
    """
    versions = defaultdict(lambda: defaultdict(list))
    for name, scenario in scenarios.items():
        own = defaultdict(list)
        for row in (*scenario.media, *scenario.ingredients, scenario.feed):
            for package in row.packages if row and row.name == item else ():
                label = (package.store, package.size, package.unit)
                if measure in measures_of(package) and package not in own[label]:
                    own[label].append(package)
        for label, packages in own.items():
            if packages:
                versions[label][tuple(sorted(packages, key=_terms))].append(name)
    fullest = {label: max(found, key=len) for label, found in versions.items()}
    return JointShelf(
        packages=tuple(package for packages in fullest.values() for package in packages),
        differences=tuple(
            _difference(item, found)
            for label, found in versions.items()
            if {p for packages in found for p in packages} - set(fullest[label])
        ),
    )


def trips(scenarios):
    """
    The cheapest trip of any member to each shop.

    Parameters
    ----------
    scenarios : dict of str to Scenario
        By the member's name.

    Returns
    -------
    list of Trip

    Examples
    --------
    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> ann = read(DEMO)
    >>> ben = replace(ann, stores=(Store("Farm counter", 2.0),))
    >>> [(t.store.name, t.store.trip_cost, t.goers) for t in trips({"Ann": ann, "Ben": ben})]
    [('Corner shop', 0.0, ('Ann',)), ('Farm counter', 2.0, ('Ben',))]
    """
    costs = defaultdict(dict)
    for name, scenario in scenarios.items():
        for store in scenario.stores:
            costs[store.name][name] = store.trip_cost
    return [
        Trip(
            Store(store, min(found.values())),
            tuple(name for name, cost in found.items() if cost == min(found.values())),
        )
        for store, found in costs.items()
    ]


def alike(names):
    """
    Names that differ in capitals and spaces only, and so are likely meant for one thing.

    Parameters
    ----------
    names : iterable of str

    Returns
    -------
    list of tuple of str

    Examples
    --------
    >>> alike(["Perlite", "Coir", "perlite "])
    [('Perlite', 'perlite ')]
    """
    found = defaultdict(list)
    for name in names:
        spellings = found[" ".join(name.casefold().split())]
        if name not in spellings:
            spellings.append(name)
    return [tuple(spellings) for spellings in found.values() if len(spellings) > 1]


def _terms(package):
    """What two packages of the same label can differ in, as text."""
    terms = [say("price {price:g}", price=package.price)]
    if package.yields_l is not None:
        terms.append(say("yielding {volume:g}", volume=Amount(package.yields_l, "mix")))
    if package.deal is not None:
        terms.append(say("{take} for {pay:g}", take=package.deal.take, pay=package.deal.pay))
    if package.limit is not None:
        terms.append(say("at most {limit}", limit=package.limit))
    return say("{terms}", terms=Listed(tuple(terms), "and"))


def _difference(item, found):
    """How members differ on one label; `found` has the members' names by their packages."""
    package = next(package for packages in found for package in packages)
    versions = tuple(
        say(
            "{terms} for {members}",
            terms=Listed(tuple(map(_terms, packages)), "or"),
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
