"""What one sowing in one medium takes, and what that costs as used.

A `Requirement` holds amounts and money for the whole sowing; the cost per transplant-ready seedling
is that divided by the expected number ready, cells x u. Money is in the scenario's currency, with
tax on packages but without deals, which belong to the shopping list.
"""

import math
from dataclasses import dataclass, fields
from functools import cached_property
from operator import attrgetter

from pennyflat.chances.probability import MOST_TRIALS
from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.feeding import dose, solution_litres
from pennyflat.growing.medium import medium_price
from pennyflat.growing.sowing import Sown, occupied_share, ready_share, sown
from pennyflat.scenario.package import SEEDS, lowest_price
from pennyflat.scenario.records import Energy, Medium, Scenario, Sowing, Tray
from pennyflat.sentences import phrase, say


@dataclass(frozen=True)
class Costs:
    """Money by what it pays for. [currency]"""

    medium: float = 0.0
    """Growing medium, potting-on included."""
    feed: float = 0.0
    seed: float = 0.0
    container: float = 0.0
    """Trays, potting-on included."""
    energy: float = 0.0
    labour: float = 0.0

    @cached_property
    def total(self) -> float:
        """Sum of all parts. [currency]"""
        return math.fsum(_PARTS(self))

    def each(self, count: float) -> "Costs":
        """The same costs shared over `count`. [currency]"""
        return Costs(*(part / count for part in _PARTS(self)))


_PARTS = attrgetter(*(f.name for f in fields(Costs)))
"""Gets all parts at once, in order."""


@dataclass(frozen=True)
class Requirement:
    """One sowing in one medium: whether it is ready in time, and what it takes."""

    sowing: Sowing
    medium: str
    ready: bool
    why_not: str | None
    """A sentence if it is not ready."""
    stalls_in_week: float | None
    """Week in which the charge runs out without a remedy. [weeks from sowing]"""
    price_per_litre: float
    """Price of the medium. [currency/L]"""
    litres_per_cell: float
    """Out of the bag, for one cell. [L]"""
    ready_share: float
    """u, averaged over the counts. [1]"""
    cells: int
    seeds: int
    """Sown in cells, or laid on the towel. [count]"""
    hungry_weeks: float
    feedings: int
    solution_litres: float
    feed_amount: float
    """Concentrate. [g, or mL for a liquid]"""
    litres: dict[str, float]
    """Out of the bags, by medium, potting-on included. [L]"""
    trays: dict[str, float]
    """Cells filled, by tray, potting-on included. [count]"""
    costs: Costs
    """As used, for the whole sowing."""
    rest: float
    """The part not bought as packages: seed without packets, wear of trays that are assumed to be
    at home, energy, labour. [currency]"""
    not_counted: tuple[str, ...]
    """What was not entered and so is missing from the cost."""

    @property
    def crop(self) -> str:
        return self.sowing.crop

    @property
    def wanted(self) -> int:
        return self.sowing.wanted

    @property
    def expected_ready(self) -> float:
        """cells x u; 0 if it is not ready. [count]"""
        return self.cells * self.ready_share if self.ready else 0.0

    @cached_property
    def each(self) -> Costs | None:
        """Costs per transplant-ready seedling; None if it is not ready. [currency]"""
        return self.costs.each(self.expected_ready) if self.ready else None


def requirement(scenario: Scenario, sowing: Sowing, medium: Medium) -> Requirement:
    """
    What one sowing takes in one of the scenario's media, and what that costs as used.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> needed = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> needed.cells, needed.feedings, needed.each.total
    (77, 6, 0.1928)
    """
    share = ready_share(sowing, medium)
    after = aftercare(scenario, sowing, medium)
    why_not, amounts = after.why_not, Sown(0, 0, 0.0)
    gaps = {"crop": sowing.crop, "medium": medium.name}
    if sowing.crop in medium.unfit_for:
        why_not = say(
            "{crop} stayed stunted or yellow in a trial of {medium}: it does not count as ready.",
            **gaps,
        )
    elif share == 0:
        why_not = say("No seed of {crop} comes up in {medium}, by the emergence entered.", **gaps)
    else:
        try:
            amounts = sown(sowing, medium, scenario.assurance)
        except ValueError:
            why_not = say(
                "{wanted:,} ready seedlings of {crop} in {medium} would take more than {most:,}"
                " cells.",
                wanted=sowing.wanted,
                most=MOST_TRIALS,
                **gaps,
            )
    cells = amounts.cells
    if not cells:
        share = 0.0
    plants = cells * occupied_share(sowing, medium)
    per_cell = medium.litres_for(sowing.cell_ml)
    litres = {medium.name: cells * per_cell}
    trays = {sowing.tray: float(cells)} if sowing.tray else {}
    if move := after.move:
        more = plants * scenario.medium(move.medium).litres_for(move.cell_ml)
        litres[move.medium] = litres.get(move.medium, 0.0) + more
        if move.tray:
            trays[move.tray] = trays.get(move.tray, 0.0) + plants
    solution = concentrate = feed_price = 0.0
    if (feed := scenario.feed) and after.feedings:
        solution = math.fsum(
            solution_litres(cells if fed.in_cells else plants, fed.times, feed.ml_per_cell)
            for fed in after.feedings
        )
        concentrate = solution * dose(feed)
        feed_price = lowest_price(feed.packages, feed.measure, tax=scenario.tax)
    wear = {
        name: count * tray_price(scenario.tray(name), scenario.tax) for name, count in trays.items()
    }
    labour = scenario.labour
    costs = Costs(
        medium=math.fsum(
            amount * medium_price(scenario, scenario.medium(name))
            for name, amount in litres.items()
        ),
        feed=concentrate * feed_price,
        seed=amounts.seeds_as_used * seed_price(sowing, scenario.tax),
        container=math.fsum(wear.values()),
        energy=cells * energy_per_cell(scenario.energy, after.weeks),
        labour=cells * (labour.minutes_per_cell / 60 * labour.wage if labour else 0.0),
    )
    rest = [cost for name, cost in wear.items() if scenario.tray(name).have is None]
    if not sowing.seed_packets:
        rest.append(costs.seed)
    is_feed_free = concentrate > 0 and not feed_price
    return Requirement(
        sowing=sowing,
        medium=medium.name,
        ready=why_not is None,
        why_not=why_not,
        stalls_in_week=after.stalls_in_week if share else None,
        price_per_litre=medium_price(scenario, medium),
        litres_per_cell=per_cell,
        ready_share=share,
        cells=cells,
        seeds=amounts.seeds,
        hungry_weeks=max(0.0, after.weeks - medium.feeds_for_weeks),
        feedings=sum(fed.times for fed in after.feedings),
        solution_litres=solution,
        feed_amount=concentrate,
        litres=litres,
        trays=trays,
        costs=costs,
        rest=math.fsum((*rest, costs.energy, costs.labour)),
        not_counted=tuple(_not_counted(scenario, sowing, after, is_feed_free)),
    )


def _not_counted(scenario, sowing, after, is_feed_free):
    """Names of what was not entered and so costs nothing."""
    trays = [scenario.tray(stage.tray) for stage in (sowing, after.move) if stage]
    missing = {
        phrase("seed"): not seed_price(sowing, 0.0),
        phrase("tray"): any(tray is None or not tray.price for tray in trays),
        phrase("light and heat"): scenario.energy is None,
        phrase("time"): scenario.labour is None,
        phrase("feed"): is_feed_free,
    }
    return (name for name, is_missing in missing.items() if is_missing)


def seed_price(sowing: Sowing, tax: float) -> float:
    """
    Price of one seed: the lowest among the packets, with tax, else `seed_price`. [currency/seed]

    >>> from pennyflat.scenario.records import SeedPacket, Sowing
    >>> leek = Sowing("leek", 50, 25, 10, 0.8, seed_packets=(SeedPacket("Lane", 3.0, 50),))
    >>> seed_price(leek, 0.0)
    0.06
    """
    if not sowing.seed_packets:
        return sowing.seed_price
    return lowest_price([packet.package for packet in sowing.seed_packets], SEEDS, tax=tax)


def tray_price(tray: Tray | None, tax: float = 0.0) -> float:
    """
    Price of one cell of a container for one use; 0 without a tray. [currency/cell]

    `price / cells / uses`, with tax if the tray has `have` and so is on the shopping list.

    >>> from pennyflat.scenario.records import Tray
    >>> tray_price(Tray("72 cells", 72, 3.6, 4))
    0.0125
    """
    if tray is None:
        return 0.0
    return tray.price * (1 if tray.have is None else 1 + tax) / tray.cells / tray.uses


def energy_per_cell(energy: Energy | None, weeks: float) -> float:
    """
    Price of light and heat for one cell; 0 without lights and mat. [currency/cell]

    `(light W x h/day x 7 x T + mat W x 24 x days) / 1000 x tariff`, shared over the cells that fit;
    T is the weeks from sowing to transplant-ready. With a thermostat or dimmer, rated watts times
    hours is an upper bound. [Energy used = wattage x hours / 1000: US Department of Energy,
    Estimating Appliance and Home Electronic Energy Use.]

    >>> from pennyflat.scenario.records import Energy
    >>> energy_per_cell(Energy(40, 16, 20, 7, tariff=0.30, cells=144), 6)
    0.063
    """
    return sum(energy_used(energy, weeks)) * energy.tariff / energy.cells if energy else 0.0


def energy_used(energy: Energy, weeks: float) -> tuple[float, float]:
    """What light and mat use until the seedlings are ready, after some weeks. [kWh, kWh]"""
    lights = energy.light_watts * energy.hours_per_day * 7 * weeks / 1000
    return lights, energy.mat_watts * 24 * energy.mat_days / 1000
