"""What one planting in one medium takes, and what that costs as used.

A `Requirement` holds amounts and money for the whole planting; per transplant-ready seedling they
are divided by the number expected ready, cells x u. Money is in the scenario's currency, tax on
packages included, deals left aside: they belong to the shopping list.
"""

import math
from dataclasses import dataclass, fields

from pennyflat.cell import bag_litres_per_cell
from pennyflat.feeding import dose, feedings, hungry_weeks, solution_litres
from pennyflat.medium import medium_price
from pennyflat.package import lowest_price
from pennyflat.sowing import cells_to_sow, occupied_share, ready_share, seeds_used


@dataclass(frozen=True, slots=True)
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

    @property
    def total(self):
        """Sum of all parts. [currency]"""
        return math.fsum(getattr(self, f.name) for f in fields(self))

    @property
    def besides_packages(self):
        """What is not bought in packages for the planting: all but medium and feed. [currency]"""
        return math.fsum((self.seed, self.container, self.energy, self.labour))

    def each(self, count):
        """The same costs shared over `count`. [currency]"""
        return Costs(**{f.name: getattr(self, f.name) / count for f in fields(self)})


@dataclass(frozen=True, slots=True)
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
    >>> needed.cells, needed.feedings, needed.costs.each(needed.expected_ready).total
    (77, 6, 0.2214)
    """
    share = ready_share(planting, medium)
    if share == 0:
        return _nothing_comes_up(scenario, planting, medium)
    cells = cells_to_sow(planting.wanted, share, scenario.assurance)
    seeds = seeds_used(planting, cells)
    weeks = planting.weeks * medium.pace
    per_cell = bag_litres_per_cell(planting.cell_ml, medium.fill_loss)
    litres = {medium.name: cells * per_cell}
    container = cells * tray_price(planting.tray)
    hungry = hungry_weeks(weeks, medium.feeds_for_weeks)
    fed, fed_plants, stall, notices = hungry, cells, medium.feeds_for_weeks, ()
    if hungry and planting.remedy == "pot_on":
        move = planting.pot_on
        bigger = scenario.medium(move.medium)
        fed_plants = cells * occupied_share(planting, medium)
        per_pot = bag_litres_per_cell(move.cell_ml, bigger.fill_loss)
        litres[bigger.name] = litres.get(bigger.name, 0.0) + fed_plants * per_pot
        container += fed_plants * tray_price(move.tray)
        at_week = medium.feeds_for_weeks if move.at_week is None else move.at_week
        stall = at_week + bigger.feeds_for_weeks
        fed = max(0.0, weeks - stall)
        notices = _late_move(planting, medium, at_week)
    may_feed = scenario.feed is not None and planting.remedy != "none"
    ready = not fed or may_feed
    times, solution, concentrate = _feed(scenario.feed, fed, fed_plants) if may_feed else (0, 0, 0)
    costs = Costs(
        medium=math.fsum(
            amount * medium_price(scenario, scenario.medium(name))
            for name, amount in litres.items()
        ),
        feed=concentrate * _feed_price(scenario) if concentrate else 0.0,
        seed=seeds * planting.seed_price,
        container=container,
        energy=cells * energy_per_cell(scenario.energy, weeks),
        labour=cells * labour_per_cell(scenario.labour),
    )
    return Requirement(
        crop=planting.crop,
        medium=medium.name,
        wanted=planting.wanted,
        ready=ready,
        why_not=None if ready else _why_stalled(scenario, planting, stall, weeks),
        stalls_in_week=None if ready else stall,
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
        costs=costs,
        notices=notices,
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


def _feed(feed, weeks, plants):
    times = feedings(weeks, feed.per_week)
    solution = solution_litres(plants, times, feed.ml_per_cell)
    return times, solution, solution * dose(feed)


def _feed_price(scenario):
    return lowest_price(scenario.feed.packages, scenario.feed.measure, tax=scenario.tax)


def _why_stalled(scenario, planting, stall, weeks):
    if planting.remedy == "none":
        lack = "nothing is given after that"
    elif planting.remedy == "pot_on":
        lack = "the bigger container's charge has run out by then and there is no feed"
    else:
        lack = "there is no feed"
    return (
        f"It stalls in week {stall:g} of {weeks:g}, when its fertiliser has run out:"
        f" {lack}, so no seedling is ready to transplant."
    )


def _late_move(planting, medium, at_week):
    charge = medium.feeds_for_weeks
    if at_week <= charge:
        return ()
    return (
        f"{planting.crop} in {medium.name} is potted on in week {at_week:g}, but the mix feeds only"
        f" until week {charge:g}; the hungry time between is not costed.",
    )


def _nothing_comes_up(scenario, planting, medium):
    return Requirement(
        crop=planting.crop,
        medium=medium.name,
        wanted=planting.wanted,
        ready=False,
        why_not=f"No seed of {planting.crop} comes up in {medium.name}, by the emergence entered.",
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
