"""The pictures of the answer with their texts: the displayed crop's tray, each mix's bags."""

from compare import drawing
from page.markup import render
from pennyflat.units import from_customary
from pennyflat_display import places
from pennyflat_display.money import number
from reader import measures
from reader.words import counted, text

RULERS = {places.METRIC: 10, places.US: from_customary(4, "length")}
"""Length drawn beside a tray, by units. [cm]"""

SPROUT = "M12 20v-8m0 1c-2-6-7-7-10-6 1 5 5 7 10 6c2-6 7-7 10-6-1 5-5 7-10 6"
"""The sign of a ready cell in the key."""


def tray(sowing, container, medium, found, currency):
    """A sowing's tray in its medium in the plan, with its key."""
    if found is None or not found.cells:
        return ""
    in_tray = container and max(1, round(container.cells))
    ruler_cm = RULERS[currency.units]
    drawn = drawing.tray(found, sowing.cell_ml, in_tray, ruler_cm)
    counts = {
        name: counted(f"drawn.{name}", count, count=number(count, currency, 0))
        for name, count in (("ready", found.ready), ("lost", found.lost), ("empty", found.empty))
    }
    notes = [text("drawn.scale", volume=measures.measured(sowing.cell_ml, "cell", currency))]
    if drawn.each > 1:
        notes.append(text("drawn.each", count=drawn.each))
    if found.thinned >= 0.5:
        thinned = number(found.thinned, currency, 0)
        notes.append(counted("drawn.thinned", round(found.thinned), count=thinned))
    cells = number(found.cells, currency, 0)
    return render(
        "tray.html",
        heading=text("drawn.tray", crop=sowing.crop, medium=medium),
        said=counted("drawn.tray_said", found.cells, count=cells, **counts),
        tray=drawn,
        ruler=measures.measured(ruler_cm, "length", currency),
        sprout=SPROUT,
        note=" ".join(notes),
        **counts,
    )


def bags(found, scale, currency):
    """The bags of one mix with their texts; `scale` is `drawing.bag_scale` of all of them."""
    if not found:
        return ""
    drawn = drawing.bags(found, scale)
    sums = {
        part: measures.measured(sum(getattr(bag, part) for bag in found), "mix", currency)
        for part in ("litres", "in_cells", "lost", "left_over")
    }
    more = len(found) - len(drawn)
    return render(
        "bags.html",
        drawn=drawn,
        width=drawn[-1].x + drawn[-1].width,
        height=max(bag.height for bag in drawn),
        said=text("drawn.bags_said", **sums),
        more=counted("drawn.more_bags", more) if more else "",
    )
