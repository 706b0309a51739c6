"""What a grower enters, as the model's own values: one record for each object of a scenario.

Units: litres, grams, weeks, one currency, fractions from 0 to 1. `pennyflat.scenario.document`
reads and writes the document.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from pennyflat.scenario.checking import ByName, Fault, by_name, join, key, optional, record, several
from pennyflat.scenario.happened import Happened
from pennyflat.scenario.kinds import day, number, one_of, share, text, whole, yes_or_no
from pennyflat.scenario.package import SEEDS, Deal, Package
from pennyflat.scenario.trial import Trial
from pennyflat.sentences import phrase, say

FORMAT = "seedling-costs/2"
REMEDIES = ("feed", "pot_on", "none")
MEASURED = ("fill_loss", "feeds_for_weeks", "pace")
"""Figures of a mix that may be the grower's own: measured, not from a table or a bag."""
FORMS = ("cylinder", "cone frustum", "square frustum", "cube")
"""Shapes of cell that can be measured."""

_name = text()
_packages = several(record(Package), at_least=1)
_currency = text(pattern="[A-Z]{3}", like=phrase("a currency code; write one such as EUR"))
_cell_ml = number(at_least=0.1, at_most=100_000)
_chance = share(zero=False, at_least=0.001)


@dataclass(frozen=True, slots=True)
class Counts:
    """A share that was counted: `up` of `sown` seeds came up. It is not known exactly."""

    up: int = key(whole(at_least=0, at_most=10_000_000))
    """Normal seedlings. [count]"""
    sown: int = key(whole(at_least=1, at_most=10_000_000))
    """Seeds sown, at least as many. [count]"""

    def faults_at(self, path: str) -> Iterator[Fault]:
        """More up than sown."""
        if self.up > self.sown:
            gaps = {"up": self.up, "sown": self.sown}
            message = say("{up} up of {sown} sown; no more can come up than are sown", **gaps)
            yield Fault(join(path, "up"), self.up, message)


def _share_or_counts(of_share):
    """Kind: a share, or an object with counts."""
    counts = record(Counts)
    return lambda value, *place: (counts if isinstance(value, dict) else of_share)(value, *place)


@dataclass(frozen=True, slots=True)
class Store:
    """A place to buy, and what going there costs."""

    name: str = key(_name)
    trip_cost: float = key(number(at_least=0), 0.0)
    """Paid once if anything is bought there, after tax. [currency]"""


@dataclass(frozen=True, slots=True)
class Part:
    """One ingredient of a blend, by volume."""

    ingredient: str = key(_name)
    parts: float = key(number(above=0))
    """Share of the sum of the parts. [any one unit of volume]"""


@dataclass(frozen=True, slots=True)
class Addition:
    """A dry amendment stirred into a blend."""

    ingredient: str = key(_name)
    g_per_l: float = key(number(above=0))
    """Weight per volume of finished blend. [g/L]"""


@dataclass(frozen=True, slots=True)
class Medium:
    """A growing medium: bagged, with `packages`, or a blend made at home, with `parts`."""

    name: str = key(_name)
    feeds_for_weeks: float = key(number(at_least=0, at_most=520))
    """How long its starter charge feeds seedlings. [weeks]"""
    fill_loss: float = key(share(one=False), 0.15)
    """Share of the loosened volume that never fills a cell. [1]"""
    pace: float = key(number(above=0, at_most=10), 1.0)
    """Time to transplant-ready in it, relative to the sowing's `weeks`. [1]"""
    packages: tuple[Package, ...] = key(_packages, ())
    emergence: ByName[float | Counts] = key(
        by_name(_share_or_counts(share(at_least=0.001))), ByName()
    )
    """Chance that one seed gives a normal seedling in it, by crop, if known. [1]"""
    survival: ByName[float] = key(by_name(_chance), ByName())
    """Share of thinned seedlings that reach transplanting in it, by crop; else the sowing's. [1]"""
    shrink: float = key(share(one=False), 0.0)
    """Share of the parts' total volume lost in mixing. [1]"""
    parts: tuple[Part, ...] = key(several(record(Part), at_least=1), ())
    additions: tuple[Addition, ...] = key(several(record(Addition)), ())
    stock: float = key(number(at_least=0), 0.0)
    """In stock, used first, free. [L]"""
    keeps_seasons: int = key(whole(at_least=0, at_most=20), 1)
    """Seasons after this one for which a leftover is still good. [count]"""
    next_year_share: float = key(share(), 0.0)
    """Share of this year's use expected next year. [1]"""
    kind: str | None = key(optional(_name), None)
    """What sort of mix it is in the trade's tables; a note, not used in computing."""
    measured: tuple[str, ...] = key(several(one_of(*MEASURED)), ())
    """Which of its figures the grower measured, which makes their ranges narrower."""
    unfit_for: tuple[str, ...] = key(several(_name), ())
    """Crops that stayed stunted or yellow in it in a trial: never counted as ready."""

    def __post_init__(self) -> None:
        for name in ("emergence", "survival"):
            if not isinstance(getattr(self, name), ByName):
                object.__setattr__(self, name, ByName(getattr(self, name)))

    def litres_for(self, cell_ml: float) -> float:
        """
        Loosened volume from the bag that one filled cell of `cell_ml` takes. [mL, L]

        `cell volume / (1 - fill_loss)`, since part of the bag settles, is firmed in or is spilt.
        [Common practice puts the loss at 0.10 to 0.20; no source found.]
        """
        return cell_ml / 1000 / (1 - self.fill_loss)


@dataclass(frozen=True, slots=True)
class Ingredient:
    """Something bought to be mixed into a blend: by volume in `parts`, by weight in `additions`."""

    name: str = key(_name)
    packages: tuple[Package, ...] = key(_packages)
    stock: float = key(number(at_least=0), 0.0)
    """In stock, used first, free. [L, or g for an addition]"""


@dataclass(frozen=True, slots=True)
class Feed:
    """A soluble or liquid feed and how it is given."""

    name: str = key(_name)
    per_week: float = key(number(above=0, at_most=70))
    """Feedings a week. [1/week]"""
    ml_per_cell: float = key(number(above=0))
    """Solution per cell at one feeding. [mL]"""
    packages: tuple[Package, ...] = key(_packages)
    n_percent: float | None = key(optional(number(at_least=0.01, at_most=100)), None)
    """Nitrogen by weight on the label. [%]"""
    target_ppm_n: float | None = key(optional(number(above=0, at_most=10_000)), None)
    """Target strength. [mg N/L]"""
    g_per_litre: float | None = key(optional(number(above=0)), None)
    """Dose of a dry feed, instead of a strength. [g/L]"""
    ml_per_litre: float | None = key(optional(number(above=0)), None)
    """Dose of a liquid concentrate. [mL/L]"""
    stock: float = key(number(at_least=0), 0.0)
    """In stock, used first, free. [g, or mL for a liquid]"""

    @property
    def measure(self) -> str:
        """Measure in which the concentrate is counted, "g" or "mL"."""
        return "g" if self.ml_per_litre is None else "mL"


@dataclass(frozen=True, slots=True)
class Energy:
    """Lights and a heat mat shared by the cells that fit under them."""

    light_watts: float = key(number(at_least=0))
    hours_per_day: float = key(number(at_least=0, at_most=24))
    mat_watts: float = key(number(at_least=0))
    mat_days: float = key(number(at_least=0, at_most=3650))
    tariff: float = key(number(at_least=0))
    """Price of electricity. [currency/kWh]"""
    cells: float = key(number(above=0))
    """Cells that fit under them. [count]"""


@dataclass(frozen=True, slots=True)
class Labour:
    """Time spent on a cell, if it is to be counted."""

    minutes_per_cell: float = key(number(at_least=0))
    wage: float = key(number(at_least=0))
    """[currency/hour]"""


@dataclass(frozen=True, slots=True)
class Tray:
    """A container of cells, used for several seasons."""

    name: str = key(_name)
    cells: float = key(number(above=0))
    price: float = key(number(at_least=0))
    """Price of one tray, before tax if it is bought. [currency]"""
    uses: float = key(number(above=0))
    """Seasons it lasts. [count]"""
    have: int | None = key(optional(whole(at_least=0)), None)
    """In stock; None if all are assumed to be and only their wear is costed. [count]"""
    store: str | None = key(optional(_name), None)
    """Where to buy more of them."""


@dataclass(frozen=True, slots=True)
class SeedPacket:
    """Seed as sold: a number of seeds, or a weight."""

    store: str = key(_name)
    price: float = key(number(at_least=0))
    """Price of one packet, before tax. [currency]"""
    seeds: int | None = key(optional(whole(at_least=1, at_most=10_000_000)), None)
    """[count]"""
    grams: float | None = key(optional(number(at_least=0.01, at_most=10_000_000)), None)
    seeds_per_gram: float | None = key(optional(number(above=0, at_most=1_000_000)), None)
    """[1/g]"""
    deal: Deal | None = key(optional(record(Deal)), None)
    limit: int | None = key(optional(whole(at_least=0)), None)
    """Most that can be had, deals included; None for no limit. [count]"""

    @property
    def package(self) -> Package:
        """The packet as a package that holds whole seeds."""
        seeds = self.seeds or 0
        if self.grams is not None and self.seeds_per_gram is not None:
            seeds = int(self.grams * self.seeds_per_gram + 1e-9)
        return Package(self.store, seeds, SEEDS, self.price, None, self.deal, self.limit)


@dataclass(frozen=True, slots=True)
class PotOn:
    """A move of the surviving plants into a bigger container of another medium."""

    medium: str = key(_name)
    cell_ml: float = key(_cell_ml)
    """Volume of the bigger container. [mL]"""
    tray: str | None = key(optional(_name), None)
    """Name of the container, one of the scenario's `trays`."""
    at_week: float | None = key(optional(number(at_least=0, at_most=520)), None)
    """Week of the move; None for when the first charge runs out. [weeks from sowing]"""


@dataclass(frozen=True, slots=True)
class Shape:
    """A cell's inside measures. A note of where `cell_ml` came from."""

    form: str = key(one_of(*FORMS))
    top_cm: float = key(number(above=0))
    """Diameter or side at the brim; the edge of a cube. [cm]"""
    bottom_cm: float | None = key(optional(number(at_least=0)), None)
    """Diameter or side at the bottom of a frustum; None if as wide as the brim. [cm]"""
    depth_cm: float | None = key(optional(number(above=0)), None)
    """None if as deep as the brim is wide, as in a cube. [cm]"""
    fill_height: float = key(share(zero=False), 1.0)
    """Filled share of the depth. [1]"""

    @property
    def volume_ml(self) -> float:
        """
        Volume of the cell as filled. [mL]

        A square frustum holds `h/3 (a^2 + a b + b^2)`, a round one pi/4 of the square one around
        it. [Elementary geometry.] A cylinder and a cube are as wide at the bottom as at the brim.
        """
        top, bottom, depth = self.top_cm, self.bottom_cm, self.depth_cm
        if bottom is None or self.form in ("cylinder", "cube"):
            bottom = top
        if depth is None or self.form == "cube":
            depth = top
        level = bottom + (top - bottom) * self.fill_height
        square = depth * self.fill_height / 3 * (level**2 + level * bottom + bottom**2)
        return math.pi / 4 * square if self.form in ("cylinder", "cone frustum") else square


@dataclass(frozen=True, slots=True)
class Sowing:
    """One crop to raise."""

    crop: str = key(_name)
    wanted: int = key(whole(at_least=1))
    """Transplant-ready seedlings wanted. [count]"""
    cell_ml: float = key(_cell_ml)
    """Volume of one cell as filled. [mL]"""
    weeks: float = key(number(above=0, at_most=520))
    """Sowing to transplant-ready. [weeks]"""
    germination: float | Counts = key(_share_or_counts(_chance))
    """Chance that one seed gives a normal seedling. [1]"""
    seeds_per_cell: int = key(whole(at_least=1, at_most=100), 1)
    survival: float = key(_chance, 1.0)
    """Share of thinned seedlings that reach transplanting. [1]"""
    seed_price: float = key(number(at_least=0), 0.0)
    """Price when packets are not known. [currency/seed]"""
    seed_packets: tuple[SeedPacket, ...] = key(several(record(SeedPacket)), ())
    """Seed as sold; its price counts instead of `seed_price`."""
    seed_stock: int = key(whole(at_least=0, at_most=10_000_000), 0)
    """Seeds in stock, used first, free. [count]"""
    tray: str | None = key(optional(_name), None)
    """Name of the container, one of the scenario's `trays`; None leaves out its cost."""
    remedy: str = key(one_of(*REMEDIES), "feed")
    presprout: bool = key(yes_or_no, False)
    take: float = key(_chance, 0.95)
    """Share of pre-sprouted seeds that take in the cell. [1]"""
    medium: str | None = key(optional(_name), None)
    """The one chosen for the shopping list; None leaves the choice to the plan."""
    pot_on: PotOn | None = key(optional(record(PotOn)), None)
    container: str | None = key(optional(_name), None)
    """Tray or pot in the trade's tables; a note of where `cell_ml` came from."""
    shape: Shape | None = key(optional(record(Shape)), None)
    """The cell as measured; `cell_ml` is what counts."""
    plant_out: date | None = key(optional(day), None)
    """Day of transplanting, for the calendar."""
    germinate_at_c: float | None = key(optional(number(at_least=-20, at_most=60)), None)
    """Temperature of the medium until emergence, for the calendar. [degC]"""


@dataclass(frozen=True, slots=True)
class Scenario:
    """Everything a grower enters."""

    format: str = key(one_of(FORMAT))
    title: str = key(text(empty=True))
    currency: str = key(_currency)
    stores: tuple[Store, ...] = key(several(record(Store)))
    media: tuple[Medium, ...] = key(several(record(Medium)))
    ingredients: tuple[Ingredient, ...] = key(several(record(Ingredient)))
    sowings: tuple[Sowing, ...] = key(several(record(Sowing)))
    trays: tuple[Tray, ...] = key(several(record(Tray)), ())
    tax: float = key(share(), 0.0)
    """Tax on everything bought: packages, seed packets, trays with `have`. [1]"""
    left_over_counts: float = key(share(), 0.0)
    """Share of the leftovers' worth that will really be used later. [1]"""
    assurance: float | None = key(optional(share(zero=False, one=False)), 0.9)
    """Wanted chance of having enough; None to sow for the expected number. [1]"""
    budget: float | None = key(optional(number(at_least=0)), None)
    """Most to spend on packages and trips. [currency]"""
    feed: Feed | None = key(optional(record(Feed)), None)
    energy: Energy | None = key(optional(record(Energy)), None)
    labour: Labour | None = key(optional(record(Labour)), None)
    last_frost: date | None = key(optional(day), None)
    """Day of the last frost at the planting site, entered by the grower, for the calendar."""
    trials: tuple[Trial, ...] = key(several(record(Trial)), ())
    """Side-by-side trials as written down; their mixes and crops need not be in the scenario."""
    happened: Happened | None = key(optional(record(Happened)), None)
    """What really happened with this plan, after the season; it affects no cost."""

    def medium(self, name: str) -> Medium:
        """The medium of that name; KeyError if there is none."""
        return _named(self.media, name)

    def with_medium(self, changed: Medium) -> "Scenario":
        """The scenario with another medium of the same name."""
        media = (changed if medium.name == changed.name else medium for medium in self.media)
        return replace(self, media=tuple(media))

    def tray(self, name: str | None) -> Any:
        """The tray of that name, or None for None; KeyError if there is none."""
        return None if name is None else _named(self.trays, name)

    def ingredient(self, name: str) -> Ingredient:
        """The ingredient of that name; KeyError if there is none."""
        return _named(self.ingredients, name)


def _named(rows, name):
    for row in rows:
        if row.name == name:
            return row
    raise KeyError(name)


def expect_scenario(given: object, taken_by: str) -> None:
    """Reject anything but a `Scenario`, `taken_by` a function, with a TypeError that tells how."""
    if not isinstance(given, Scenario):
        raise TypeError(
            f"{taken_by}() takes a Scenario, not a {type(given).__name__}: read(document),"
            " parse(text) or load(path) makes one."
        )
