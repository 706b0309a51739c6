"""What one planting in one medium takes, and what that costs as used.

A `Requirement` holds amounts and money for the whole planting; per transplant-ready seedling they
are divided by the number expected ready, cells x u. Money is in the scenario's currency, tax on
packages included, deals left aside: they belong to the shopping list.
"""

import math
from dataclasses import dataclass, fields
from functools import cached_property
from operator import attrgetter

from pennyflat.cell import bag_litres_per_cell
from pennyflat.feeding import dose, feedings, hungry_weeks, solution_litres
from pennyflat.medium import medium_price
from pennyflat.package import lowest_price
from pennyflat.saying import phrase, say
from pennyflat.sowing import cells_to_sow, occupied_share, ready_share, seeds_used


@dataclass(frozen=True)
class Costs:
    """Money by what it goes to. [currency]"""

    medium: float = 0.0
    """Growing medium, potting-on included."""
    feed: float = 0.0
    seed: float = 0.0
    container: float = 0.0
    """Trays, potting-on included."""
    energy: float = 0.0
    labour: float = 0.0

    @cached_property
    def total(self):
        """Sum of all parts. [currency]"""
        return math.fsum(_PARTS(self))

    @property
    def besides_packages(self):
        """What is not bought in packages for the planting: all but medium and feed. [currency]"""
        return math.fsum((self.seed, self.container, self.energy, self.labour))

    def each(self, count):
        """The same costs shared over `count`. [currency]"""
        return Costs(*(part / count for part in _PARTS(self)))


_PARTS = attrgetter(*(f.name for f in fields(Costs)))
"""All of them at once, in order."""


@dataclass(frozen=True)
class Requirement:
    """One planting in one medium: whether it is ready in time, and what it takes."""

    crop: str
    medium: str
    wanted: int
    ready: bool
    why_not: str | None
    """A sentence, where it is not ready."""
    stalls_in_week: float | None
    """Week in which the charge runs out and nothing follows. [weeks from sowing]"""
    price_per_litre: float
    """Of the medium. [currency/L]"""
    litres_per_cell: float
    """Out of the bag, for one cell. [L]"""
    ready_share: float
    """u. [1]"""
    cells: int
    seeds: float
    """Not rounded. [count]"""
    hungry_weeks: float
    feedings: int
    solution_litres: float
    feed_amount: float
    """Concentrate. [g, or mL for a liquid]"""
    litres: dict[str, float]
    """Out of the bags, by medium, potting-on included. [L]"""
    costs: Costs
    """As used, for the whole planting."""
    notices: tuple[str, ...]
    """What the grower should know about it."""

    @property
    def expected_ready(self):
        """cells x u; 0 where it is not ready. [count]"""
        return self.cells * self.ready_share if self.ready else 0.0

    @cached_property
    def each(self):
        """Costs per transplant-ready seedling; None where it is not ready. [currency]"""
        return self.costs.each(self.expected_ready) if self.ready else None


def requirement(scenario, planting, medium):
    """
    What one planting takes in one medium, and what that costs as used.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
    medium : Medium
        One of the scenario's.

    Returns
    -------
    Requirement

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> needed = requirement(demo, demo.plantings[0], demo.medium("Seed starter mix"))
    >>> needed.cells, needed.feedings, needed.each.total
    (77, 6, 0.2047)
    """
    share = ready_share(planting, medium)
    if share == 0:
        return _nothing_comes_up(scenario, planting, medium)
    cells = cells_to_sow(planting.wanted, share, scenario.assurance)
    weeks = planting.weeks * medium.pace
    per_cell = bag_litres_per_cell(planting.cell_ml, medium.fill_loss)
    litres = {medium.name: cells * per_cell}
    containers = cells * tray_price(planting.tray)
    seeds = seeds_used(planting, cells)
    hungry = hungry_weeks(weeks, medium.feeds_for_weeks)
    after = _Aftercare(hungry, cells, medium.feeds_for_weeks)
    if hungry and planting.remedy == "pot_on":
        after = _pot_on(scenario, planting, medium, cells, weeks)
        bigger = planting.pot_on.medium
        litres[bigger] = litres.get(bigger, 0.0) + after.litres
        containers += after.containers
    is_fed = scenario.feed is not None and planting.remedy != "none"
    times, solution, concentrate = _fed(scenario.feed, after) if is_fed else (0, 0.0, 0.0)
    ready = is_fed or not after.hungry
    return Requirement(
        crop=planting.crop,
        medium=medium.name,
        wanted=planting.wanted,
        ready=ready,
        why_not=None if ready else _why_stalled(planting, after.stall, weeks),
        stalls_in_week=None if ready else after.stall,
        price_per_litre=medium_price(scenario, medium),
        litres_per_cell=per_cell,
        ready_share=share,
        cells=cells,
        seeds=seeds,
        hungry_weeks=hungry,
        feedings=times,
        solution_litres=solution,
        feed_amount=concentrate,
        litres=litres,
        costs=Costs(
            medium=math.fsum(
                amount * medium_price(scenario, scenario.medium(name))
                for name, amount in litres.items()
            ),
            feed=concentrate * _feed_price(scenario) if concentrate else 0.0,
            seed=seeds * planting.seed_price,
            container=containers,
            energy=cells * energy_per_cell(scenario.energy, weeks),
            labour=cells * labour_per_cell(scenario.labour),
        ),
        notices=after.notices,
    )


def tray_price(tray):
    """
    Price of one cell of a container for one use.

    `price / cells / uses`.

    Parameters
    ----------
    tray : Tray or None

    Returns
    -------
    float
        Price; 0 without a tray. [currency/cell]

    Examples
    --------
    >>> from pennyflat.scenario import Tray
    >>> tray_price(Tray(price=3.6, cells=72, uses=4))
    0.0125
    """
    return 0.0 if tray is None else tray.price / tray.cells / tray.uses


def energy_per_cell(energy, weeks):
    """
    Price of light and heat for one cell.

    `(light W x h/day x 7 x T + mat W x 24 x days) / 1000 x tariff`, shared over the cells that fit.
    Rated watts times hours is an upper bound where a thermostat or dimmer switches. [Energy used =
    wattage x hours / 1000: US Department of Energy, Estimating Appliance and Home Electronic Energy
    Use.]

    Parameters
    ----------
    energy : Energy or None
    weeks : float
        Sowing to transplant-ready. [weeks]

    Returns
    -------
    float
        Price; 0 without lights and mat. [currency/cell]

    Examples
    --------
    >>> from pennyflat.scenario import Energy
    >>> energy_per_cell(Energy(40, 16, 20, 7, tariff=0.30, cells=144), 6)
    0.063
    """
    if energy is None:
        return 0.0
    lights = energy.light_watts * energy.hours_per_day * 7 * weeks / 1000
    mat = energy.mat_watts * 24 * energy.mat_days / 1000
    return (lights + mat) * energy.tariff / energy.cells


def labour_per_cell(labour):
    """
    Price of the time spent on one cell.

    `minutes / 60 x wage`.

    Parameters
    ----------
    labour : Labour or None

    Returns
    -------
    float
        Price; 0 where labour is not counted. [currency/cell]

    Examples
    --------
    >>> from pennyflat.scenario import Labour
    >>> labour_per_cell(Labour(minutes_per_cell=0.5, wage=12))
    0.1
    """
    return 0.0 if labour is None else labour.minutes_per_cell / 60 * labour.wage


@dataclass(frozen=True, slots=True)
class _Aftercare:
    """What follows when the first charge has run out."""

    hungry: float
    """Weeks that have to be fed. [weeks]"""
    plants: float
    """Cells or plants that have to be fed. [count]"""
    stall: float
    """Week in which they stall if they are not. [weeks from sowing]"""
    litres: float = 0.0
    """Medium for potting on. [L]"""
    containers: float = 0.0
    """Price of the containers for potting on. [currency]"""
    notices: tuple[str, ...] = ()


def _pot_on(scenario, planting, medium, cells, weeks):
    move = planting.pot_on
    bigger = scenario.medium(move.medium)
    charge = medium.feeds_for_weeks
    at_week = charge if move.at_week is None else move.at_week
    plants = cells * occupied_share(planting, medium)
    stall = at_week + bigger.feeds_for_weeks
    notices = ()
    if at_week > charge:
        notices = (
            say(
                "{crop} in {medium} is potted on in week {at_week:g}, but the mix feeds only until"
                " week {until_week:g}; the hungry time between is not costed.",
                crop=planting.crop,
                medium=medium.name,
                at_week=at_week,
                until_week=charge,
            ),
        )
    return _Aftercare(
        hungry=hungry_weeks(weeks, stall),
        plants=plants,
        stall=stall,
        litres=plants * bag_litres_per_cell(move.cell_ml, bigger.fill_loss),
        containers=plants * tray_price(move.tray),
        notices=notices,
    )


def _fed(feed, after):
    times = feedings(after.hungry, feed.per_week)
    solution = solution_litres(after.plants, times, feed.ml_per_cell)
    return times, solution, solution * dose(feed)


def _feed_price(scenario):
    return lowest_price(scenario.feed.packages, scenario.feed.measure, tax=scenario.tax)


_LACKS = {
    "none": phrase("nothing is given after that"),
    "pot_on": phrase("the bigger container's charge has run out too and there is no feed"),
    "feed": phrase("there is no feed"),
}
"""Why a planting goes hungry, by its remedy."""


def _why_stalled(planting, stall, weeks):
    return say(
        "It stalls in week {week:g} of {weeks:g}, when its fertiliser has run out: {lack}, so no"
        " seedling is ready to transplant.",
        week=stall,
        weeks=weeks,
        lack=_LACKS[planting.remedy],
    )


def _nothing_comes_up(scenario, planting, medium):
    return Requirement(
        crop=planting.crop,
        medium=medium.name,
        wanted=planting.wanted,
        ready=False,
        why_not=say(
            "No seed of {crop} comes up in {medium}, by the emergence entered.",
            crop=planting.crop,
            medium=medium.name,
        ),
        stalls_in_week=None,
        price_per_litre=medium_price(scenario, medium),
        litres_per_cell=bag_litres_per_cell(planting.cell_ml, medium.fill_loss),
        ready_share=0.0,
        cells=0,
        seeds=0.0,
        hungry_weeks=hungry_weeks(planting.weeks * medium.pace, medium.feeds_for_weeks),
        feedings=0,
        solution_litres=0.0,
        feed_amount=0.0,
        litres={},
        costs=Costs(),
        notices=(),
    )
