"""Pictures drawn from the numbers: a tray with the fate of its cells, and bags by volume.

A picture is a viewBox and a few paths; its marks differ in shape, so that it can be read in black
and white. Only positions on paper are computed here; the numbers are the model's.
"""

import re
from dataclasses import dataclass
from math import ceil, sqrt

PX_PER_CM = 7
WALL_CM = 0.4
"""Gap between two cells."""
BETWEEN_PX = 16
"""Gap between two trays."""
MOST_CELLS = 432
"""Most cells drawn; beyond that each stands for several."""
MOST_BAGS = 6
"""Most bags drawn for one mix."""
SHELF_PX = 200
"""Width available for the bags of one mix, so that they fit a phone."""
BAG_PX = 84
"""Width of the largest bag."""
PX_PER_ROOT_LITRE = 14
GAP_PX = 10
TALL = 1.35
"""Height of a bag relative to its width."""
SPROUT = "m0 11v-11m0 1c-3 -10 -11 -11 -15 -10c2 8 8 11 15 10c3 -10 11 -11 15 -10c-2 8 -8 11 -15 10"
"""About the middle of a cell 46 px wide, as is the cross."""
CROSS = "m-9 -9l18 18m0 -18l-18 18"


@dataclass(frozen=True, slots=True)
class Tray:
    """Cells as paths, in px."""

    width: int
    height: int
    rims: tuple[tuple[float, float], ...]
    """(top, height) of each tray"""
    unsown: str
    """Path of the cells without seed."""
    cells: str
    """Path of the sown cells."""
    signs: tuple[tuple[str, str], ...]
    """(what it means, path of its marks)"""
    each: int
    """Cells per drawn cell. [count]"""
    ruler: int
    """Width of the length drawn beside it."""


@dataclass(frozen=True, slots=True)
class DrawnBag:
    """One bag, standing on the base line, in px."""

    x: float
    y: float
    width: float
    height: float
    in_cells: float
    """Height of the part that ends up in cells."""
    lost: float
    """Height of the lost part above it."""


def tray(found, cell_ml, in_tray, ruler_cm=10):
    """
    The sown cells in trays of `in_tray`, each as wide as a cube of its volume.

    found: the `TrayCells` of `pennyflat.comparing.picture`; cell_ml: volume of a cell [mL];
    in_tray: None if trays are not counted [count]; ruler_cm: length drawn beside it [cm].

    Examples
    --------
    >>> from pennyflat.comparing.picture import TrayCells
    >>> drawn = tray(TrayCells(cells=4, ready=2, lost=1, empty=1, thinned=0), 27, 6)
    >>> drawn.width, drawn.height, drawn.each, len(drawn.rims)
    (72, 48, 1, 1)
    """
    each = ceil(found.cells / MOST_CELLS)
    pitch = min(max((cell_ml ** (1 / 3) + WALL_CM) * PX_PER_CM, 9), 60)
    drawn = ceil(found.cells / each)
    per_tray = in_tray if in_tray and in_tray <= MOST_CELLS and each == 1 else drawn
    columns = _columns(per_tray)
    rows = ceil(per_tray / columns)
    tops = [i * (rows * pitch + BETWEEN_PX) for i in range(ceil(drawn / per_tray))]
    spots = [
        (i % columns * pitch, top + i // columns * pitch) for top in tops for i in range(per_tray)
    ]
    ready, lost = round(found.ready / each), round(found.lost / each)
    signs = (
        ("ready", _marks(SPROUT, spots[:ready], pitch)),
        ("lost", _marks(CROSS, spots[ready : ready + lost], pitch)),
    )
    side = pitch - WALL_CM * PX_PER_CM
    edge = (pitch - side) / 2
    box = f"h{side:.1f}v{side:.1f}h-{side:.1f}z"
    cells = "".join(f"M{x + edge:.1f} {y + edge:.1f}{box}" for x, y in spots[:drawn])
    unsown = "".join(f"M{x + edge:.1f} {y + edge:.1f}{box}" for x, y in spots[drawn:])
    width, height = (max(spot[axis] for spot in spots) + pitch for axis in (0, 1))
    rims = tuple((top, rows * pitch) for top in tops)
    ruler = round(ruler_cm * PX_PER_CM)
    return Tray(ceil(width), ceil(height), rims, unsown, cells, signs, each, ruler)


def _marks(mark, spots, pitch):
    """The path of a mark in each of these cells."""
    scaled = re.sub(r"-?[1-9]\d*", lambda length: f"{int(length[0]) * pitch / 46:.1f}", mark)
    return "".join(f"M{x + pitch / 2:.1f} {y + pitch / 2:.1f}{scaled}" for x, y in spots)


def _columns(cells):
    """Columns of a tray about twice as wide as deep, without an unfinished row if possible."""
    best = sqrt(2 * cells)
    exact = [n for n in range(1, cells + 1) if cells % n == 0 and best / 1.6 <= n <= best * 1.6]
    return min(exact, key=lambda n: abs(n - best)) if exact else max(1, round(best))


def bag_scale(shelves):
    """
    Width of a one-litre bag at which the bags of every mix fit. [px]

    Examples
    --------
    >>> from pennyflat.comparing.picture import Bag
    >>> bag_scale([[Bag("Mix", 9, 5, 1, 3)], [Bag("Mix", 64, 5, 1, 58)]])
    10.5
    """
    roots = [[sqrt(bag.litres) for bag in bags[:MOST_BAGS]] for bags in shelves if bags]
    if not roots:
        return PX_PER_ROOT_LITRE
    fits = min((SHELF_PX - GAP_PX * (len(row) - 1)) / sum(row) for row in roots)
    return min(PX_PER_ROOT_LITRE, BAG_PX / max(map(max, roots)), fits)


def bags(found, scale):
    """
    The first bags of one mix side by side, with areas by litres; `scale` is from `bag_scale`.

    Examples
    --------
    >>> from pennyflat.comparing.picture import Bag
    >>> [bag] = bags([Bag("Mix", 64, 16, 4, 44)], 10)
    >>> bag.width, bag.height, bag.in_cells, bag.lost
    (80.0, 108.0, 27.0, 6.75)
    """
    drawn, x = [], 0.0
    highest = max((sqrt(bag.litres) for bag in found), default=0) * scale * TALL
    for bag in found[:MOST_BAGS]:
        width = sqrt(bag.litres) * scale
        height = width * TALL
        parts = (height * part / bag.litres for part in (bag.in_cells, bag.lost))
        drawn.append(DrawnBag(x, highest - height, width, height, *parts))
        x += width + GAP_PX
    return tuple(drawn)
