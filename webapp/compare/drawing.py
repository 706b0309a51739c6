"""Pictures drawn from the numbers: a tray with the fate of its cells, and bags by volume.

A picture is a viewBox and a few paths; its marks differ in shape, so that it can be read in black
and white. Only positions on paper are computed here; the numbers are the model's.
"""

import re
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


def tray(found, cell_ml, in_tray, ruler_cm):
    """
    The sown cells in trays of `in_tray`, each as wide as a cube of its volume: paths in px.

    found: the `TrayCells` of `pennyflat.comparing.picture`; cell_ml: volume of a cell [mL];
    in_tray: None if trays are not counted [count]; ruler_cm: length drawn beside it [cm].

    Returns the whole's `width` and `height`, the (top, height) of each tray in `rims`, `paths` by
    what they show, the cells that `each` of those drawn stands for, and the width of the `ruler`.

    Examples
    --------
    >>> from pennyflat.comparing.picture import TrayCells
    >>> drawn = tray(TrayCells(cells=4, ready=2, lost=1, empty=1, thinned=0), 27, 6, 10)
    >>> drawn["width"], drawn["height"], drawn["each"], len(drawn["rims"])
    (72, 48, 1, 1)
    """
    each = ceil(found.cells / MOST_CELLS)
    pitch = min(max((cell_ml ** (1 / 3) + WALL_CM) * PX_PER_CM, 9), 60)
    drawn = ceil(found.cells / each)
    per_tray = in_tray if in_tray and in_tray <= MOST_CELLS and each == 1 else drawn
    columns = _columns(per_tray)
    depth = ceil(per_tray / columns) * pitch
    tops = [i * (depth + BETWEEN_PX) for i in range(ceil(drawn / per_tray))]
    spots = [
        (i % columns * pitch, top + i // columns * pitch) for top in tops for i in range(per_tray)
    ]
    ready, lost = round(found.ready / each), round(found.lost / each)
    side, edge = pitch - WALL_CM * PX_PER_CM, WALL_CM * PX_PER_CM / 2
    box = f"h{side:.1f}v{side:.1f}h-{side:.1f}z"
    return {
        "width": ceil(max(x for x, _ in spots) + pitch),
        "height": ceil(max(y for _, y in spots) + pitch),
        "rims": [(top, depth) for top in tops],
        "paths": {
            "unsown": _path(box, spots[drawn:], edge),
            "soil": _path(box, spots[:drawn], edge),
            "ready": _path(_scaled(SPROUT, pitch), spots[:ready], pitch / 2),
            "lost": _path(_scaled(CROSS, pitch), spots[ready : ready + lost], pitch / 2),
        },
        "each": each,
        "ruler": round(ruler_cm * PX_PER_CM),
    }


def _path(mark, spots, inset):
    return "".join(f"M{x + inset:.1f} {y + inset:.1f}{mark}" for x, y in spots)


def _scaled(mark, pitch):
    return re.sub(r"-?[1-9]\d*", lambda length: f"{int(length[0]) * pitch / 46:.1f}", mark)


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
    The first bags of one mix side by side on the base line, with areas by litres, in px.

    `scale` is from `bag_scale`; `in_cells` and `lost` are the heights of those parts.

    Examples
    --------
    >>> from pennyflat.comparing.picture import Bag
    >>> bags([Bag("Mix", 64, 16, 4, 44)], 10)
    [{'x': 0.0, 'y': 0.0, 'width': 80.0, 'height': 108.0, 'in_cells': 27.0, 'lost': 6.75}]
    """
    drawn, x = [], 0.0
    highest = max((sqrt(bag.litres) for bag in found), default=0) * scale * TALL
    for bag in found[:MOST_BAGS]:
        width = sqrt(bag.litres) * scale
        height = width * TALL
        parts = {key: height * getattr(bag, key) / bag.litres for key in ("in_cells", "lost")}
        drawn.append({"x": x, "y": highest - height, "width": width, "height": height} | parts)
        x += width + GAP_PX
    return drawn
