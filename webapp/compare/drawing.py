"""Pictures drawn from the numbers: a tray with the fate of its cells, and bags by volume.

A picture is a viewBox and a few paths; its marks differ in shape, so that it can be read in black
and white. Only positions on paper are computed here; the numbers are the model's.
"""

from dataclasses import dataclass
from itertools import islice
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

    Parameters
    ----------
    found : pennyflat.comparing.picture.TrayCells
    cell_ml : float
        [mL]
    in_tray : int or None
        Cells of one tray; None if trays are not counted. [count]
    ruler_cm : float
        Length drawn beside it. [cm]

    Examples
    --------
    >>> from pennyflat.comparing.picture import TrayCells
    >>> drawn = tray(TrayCells(cells=4, ready=2, lost=1, empty=1, thinned=0), 27, 6)
    >>> drawn.width, drawn.height, drawn.each, len(drawn.rims)
    (72, 48, 1, 1)
    """
    each = ceil(found.cells / MOST_CELLS)
    pitch = (cell_ml ** (1 / 3) + WALL_CM) * PX_PER_CM
    pitch = min(max(pitch, 9), 60)
    drawn = ceil(found.cells / each)
    per_tray = in_tray if in_tray and in_tray <= MOST_CELLS and each == 1 else drawn
    columns = _columns(per_tray)
    spots = list(islice(_spots(per_tray, columns, pitch), ceil(drawn / per_tray) * per_tray))
    kinds = _kinds(found, each, drawn)
    scale = pitch / 46
    signs = tuple(
        (name, "".join(f"M{x + pitch / 2:.1f} {y + pitch / 2:.1f}" + mark(scale)
                       for (x, y), kind in zip(spots, kinds, strict=False) if kind == name))
        for name, mark in (("ready", _sprout), ("lost", _cross))
    )  # fmt: skip
    side = pitch - WALL_CM * PX_PER_CM
    edge = (pitch - side) / 2
    box = f"h{side:.1f}v{side:.1f}h-{side:.1f}z"
    cells = "".join(f"M{x + edge:.1f} {y + edge:.1f}{box}" for x, y in spots[:drawn])
    unsown = "".join(f"M{x + edge:.1f} {y + edge:.1f}{box}" for x, y in spots[drawn:])
    width, height = (max(spot[axis] for spot in spots) + pitch for axis in (0, 1))
    tops = [y for _, y in spots[::per_tray]]
    rims = tuple((top, tops[0] + ceil(per_tray / columns) * pitch) for top in tops)
    ruler = round(ruler_cm * PX_PER_CM)
    return Tray(ceil(width), ceil(height), rims, unsown, cells, signs, each, ruler)


def _spots(per_tray, columns, pitch):
    """Top left corners of cells, tray below tray."""
    rows, start = ceil(per_tray / columns), 0.0
    while True:
        for i in range(per_tray):
            yield i % columns * pitch, start + i // columns * pitch
        start += rows * pitch + BETWEEN_PX


def _columns(cells):
    """Columns of a tray about twice as wide as deep, without an unfinished row if possible."""
    best = sqrt(2 * cells)
    exact = [n for n in range(1, cells + 1) if cells % n == 0 and best / 1.6 <= n <= best * 1.6]
    return min(exact, key=lambda n: abs(n - best)) if exact else max(1, round(best))


def _kinds(found, each, drawn):
    ready, lost = round(found.ready / each), round(found.lost / each)
    return ["ready"] * ready + ["lost"] * lost + ["empty"] * (drawn - ready - lost)


def _sprout(scale):
    return (
        f"m0 {11 * scale:.1f}v{-11 * scale:.1f}"
        f"m0 {1 * scale:.1f}c{-3 * scale:.1f} {-10 * scale:.1f} {-11 * scale:.1f} {-11 * scale:.1f}"
        f" {-15 * scale:.1f} {-10 * scale:.1f}c{2 * scale:.1f} {8 * scale:.1f} {8 * scale:.1f}"
        f" {11 * scale:.1f} {15 * scale:.1f} {10 * scale:.1f}c{3 * scale:.1f} {-10 * scale:.1f}"
        f" {11 * scale:.1f} {-11 * scale:.1f} {15 * scale:.1f} {-10 * scale:.1f}c{-2 * scale:.1f}"
        f" {8 * scale:.1f} {-8 * scale:.1f} {11 * scale:.1f} {-15 * scale:.1f} {10 * scale:.1f}"
    )


def _cross(scale):
    arm = 9 * scale
    return (
        f"m{-arm:.1f} {-arm:.1f}l{2 * arm:.1f} {2 * arm:.1f}m0 {-2 * arm:.1f}"
        f"l{-2 * arm:.1f} {2 * arm:.1f}"
    )


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
    The first bags of one mix side by side.

    Parameters
    ----------
    found : sequence of pennyflat.comparing.picture.Bag
    scale : float
        See `bag_scale`.

    Returns
    -------
    tuple of DrawnBag
        Areas represent litres.

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
