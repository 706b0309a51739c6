"""What there is to draw: what becomes of a tray's cells, and where each bag's litres end up."""

from typing import NamedTuple

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.needs import needs_of
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.growing.outcomes import Kept
from pennyflat.growing.sowing import expected_share, occupied_share, ready_share, seed_chance
from pennyflat.scenario.package import amount_in
from pennyflat.scenario.records import Medium, Scenario, Sowing


class TrayCells(NamedTuple):
    """The expected fate of the sown cells, in whole cells that add up to `cells`."""

    cells: int
    ready: int
    """With a transplant-ready seedling. [count]"""
    lost: int
    """With a seedling that came up but died, or stalled for lack of fertiliser. [count]"""
    empty: int
    """Without a seedling. [count]"""
    thinned: float
    """Seedlings pulled out to leave the strongest in each cell. [count]"""


class Bag(NamedTuple):
    """Where the litres of one package end up; the last three add up to `litres`."""

    item: str
    """The medium, or the ingredient of a blend."""
    litres: float
    """[L]"""
    in_cells: float
    """[L]"""
    lost: float
    """Shrunk in mixing, heaped up, spilled or pressed together: never fills a cell. [L]"""
    left_over: float
    """[L]"""


def to_draw(scenario: Scenario, sowing: Sowing) -> dict[str, tuple[TrayCells, tuple[Bag, ...]]]:
    """What there is to draw for one sowing, by medium."""
    [row] = _drawn.table(scenario, [sowing])
    return {medium.name: found for medium, found in zip(scenario.media, row, strict=True)}


@Kept
def _drawn(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return tray_cells(sowing, medium, needed), bags(scenario, needed)


def tray_cells(sowing: Sowing, medium: Medium, needed: Requirement) -> TrayCells:
    """
    What becomes of the cells of one sowing in one medium.

    `needed` is the requirement of this sowing in this medium. Of n cells, `(1 - e) n` are empty and
    `e s n` are ready (see `sowing`); fractions of cells go to the largest remainders.
    """
    cells, occupied = needed.cells, occupied_share(sowing, medium)
    ready = ready_share(sowing, medium) if needed.ready else 0.0
    each = expected_share(seed_chance(sowing, medium))
    up = 0.0 if sowing.presprout else cells * sowing.seeds_per_cell * each
    exact = [cells * share for share in (ready, occupied - ready, 1 - occupied)]
    whole = [int(number + 1e-9) for number in exact]
    by_remainder = sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])
    for i in by_remainder[: cells - sum(whole)]:
        whole[i] += 1
    raised, lost, empty = whole
    return TrayCells(cells, raised, lost, empty, max(0.0, up - cells * occupied))


def bags(scenario: Scenario, needed: Requirement) -> tuple[Bag, ...]:
    """
    The packages by volume that are bought for one sowing alone, emptied one by one.

    Of the litres taken out, `(1 - shrink)(1 - fill_loss)` end up in cells. Stock is used first, and
    then the largest package. Media and ingredients come in the scenario's order, without those sold
    by weight; none if the sowing is not ready.
    """
    media = {medium.name: medium for medium in scenario.media}
    kept = {name: (1 - medium.shrink) * (1 - medium.fill_loss) for name, medium in media.items()}
    [*_, blend] = [None, *(name for name in needed.litres if media[name].parts)]
    needs = needs_of(scenario, [needed])
    covers = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax).covers
    return tuple(
        bag
        for need, cover in zip(needs, covers, strict=True)
        if need.measure == "L"
        for bag in _emptied(need, cover, kept[need.item if need.item in media else blend])
    )


def _emptied(need, cover, kept):
    """The packages bought for one need; a share `kept` of what is taken out ends up in cells."""
    sizes = [
        amount_in(package, "L")
        for package, count in zip(need.packages, cover.counts, strict=True)
        for _ in range(count)
    ]
    to_take = max(0.0, need.amount - need.stock)
    for litres in sorted(sizes, reverse=True):
        taken = min(litres, to_take)
        to_take -= taken
        yield Bag(need.item, litres, taken * kept, taken * (1 - kept), litres - taken)
