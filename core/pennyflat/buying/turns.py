"""What would change the plan: when another choice of mixes costs less. Each case is solved anew.

Every turn is a dict with a `kind`, its numbers and a `sentence`. Work that needs solutions is a
generator, as in `plan`; it also yields None where it may pause.
"""

from dataclasses import replace
from typing import Required, TypedDict

from pennyflat.buying.milp import Work
from pennyflat.buying.plan import SAME, Plan, Planner
from pennyflat.scenario.package import TRAYS, label_of
from pennyflat.sentences import Listed, Money, say

AHEAD = 4
"""How far to try larger numbers of seedlings, as a multiple of the number wanted. Ours."""

MOST_PAIRS = 144
"""Most sowings times media for which turns are searched. Ours: beyond this it takes too long."""

MOST_NUMBERS = 400
"""Most numbers of seedlings worked out, over all crops, to find where another choice wins; if they
are not enough, nothing is reported. Ours: more takes too long."""

MOST_NAMED = 3
"""Most crops that are named with their mix; of more, only the mixes are named. [count] Ours."""

HUNDREDTH = 0.01
"""Smallest difference in money that is reported. [currency]"""

HALVINGS = 14
"""Halvings of the interval in the search for a share or a price. Ours: to 1 in 16,000."""


Turn = TypedDict(
    "Turn",
    {
        "kind": Required[str],
        "share": float,
        "store": str,
        "item": str,
        "size": float,
        "unit": str,
        "price": float,
        "crop": str,
        "from": int,
        "checked_to": int,
        "media": Required[list[str | None]],
        "each": float,
        "instead_of": float,
        "sentence": Required[str],
    },
    total=False,
)
"""What would change the plan; its keys depend on its `kind`."""


def turns_of(planner: Planner, best: Plan) -> Work[list[Turn]]:
    """
    What would change the `best` plan of a planner; nothing unless it is proven.

    The keys are those of `turns` in core/FORMATS.md.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> planner = Planner(read(DEMO))
    >>> best = run(planner.best(), solve)
    >>> [turn["kind"] for turn in run(turns_of(planner, best), solve)]
    ['left_over', 'price', 'number', 'number']
    """
    pairs = sum(map(len, planner.rows))
    if not best.proven or pairs > MOST_PAIRS or best.basket.unmet or not any(best.picks):
        return []
    found = []
    for look in (_left_over, _without_trips, _price, _numbers):
        found += yield from look(planner, best)
    return found


def _left_over(planner, best):
    """Whether another choice wins if more of the leftovers is used, and above which share."""
    scenario = planner.scenario
    if scenario.left_over_counts == 1:
        return []
    all_used = Planner(replace(scenario, left_over_counts=1.0))
    other = yield from all_used.best()
    same = all_used.of(best.media)
    if not _beats(other, same):
        return []
    low, high, choice = scenario.left_over_counts, 1.0, other
    while True:
        start = low
        for _ in range(HALVINGS):
            middle = (start + high) / 2
            at = Planner(replace(scenario, left_over_counts=middle))
            start, high = (start, middle) if _wins(at, choice, best) else (middle, high)
            yield None
        at = Planner(replace(scenario, left_over_counts=start))
        third = yield from at.best()
        if not _beats(third, at.of(best.media)):
            break
        choice, high = third, start
    home = all_used.worth_at_home()
    total, instead = (plan.weighed_cost + home for plan in (other, same))
    text = say(
        "If you use up what is left over, {choice} costs less: {total} against {instead} in all,"
        " leftovers taken off. That holds from {percent:.0f} % of them on.",
        choice=_choice(other, best),
        total=Money(total, scenario.currency),
        instead=Money(instead, scenario.currency),
        percent=100 * high,
    )
    return [_turn("left_over", other, text, (total, instead), share=high)]


def _without_trips(planner, best):
    """Whether another choice would win if the trip to an unvisited shop were free."""
    scenario, found = planner.scenario, []
    visited = {bill.store for bill in best.basket.stores}
    for store in scenario.stores:
        if not store.trip_cost or store.name in visited:
            continue
        stores = tuple(replace(s, trip_cost=0.0) if s is store else s for s in scenario.stores)
        free = Planner(replace(scenario, stores=stores))
        other = yield from free.best()
        if not _beats(other, best) or other.media == best.media:
            continue
        costs = other.with_the_rest, best.with_the_rest
        total, instead = (Money(cost, scenario.currency) for cost in costs)
        text = say(
            "Without the trip to {store}, {cost}, {choice} costs less: {total} against {instead} in"
            " all.",
            store=store.name,
            cost=Money(store.trip_cost, scenario.currency),
            choice=_choice(other, best),
            total=total,
            instead=instead,
        )
        found.append(_turn("without_trip", other, text, costs, store=store.name))
    return found


def _price(planner, best):
    """The price at which a package that the plan does not buy makes the next best choice win."""
    other = yield from planner.best(other_than=best)
    if other is None or other.basket.unmet or not other.proven:
        return []
    bought = {line.package for bill in best.basket.stores for line in bill.lines}
    lines = [
        line
        for bill in other.basket.stores
        for line in bill.lines
        if line.package not in bought and line.package.unit != TRAYS and not line.package.deal
    ]
    if not lines:
        return []
    line = max(lines, key=lambda line: line.paid)
    low, high = 0, round(line.package.price * 100)
    if not _wins(_priced(planner, line, low), other, best):
        return []
    while high - low > 1:
        middle = (low + high) // 2
        wins = _wins(_priced(planner, line, middle), other, best)
        low, high = (middle, high) if wins else (low, middle)
        yield None
    if low <= 0:
        return []
    proof = yield from _priced(planner, line, low).best()
    if proof.media == best.media:
        return []
    text = say(
        "At {price} or less for {label} of {item} at {store}, {choice} costs less.",
        price=Money(low / 100, planner.scenario.currency),
        label=label_of(line.package),
        item=line.item,
        store=line.package.store,
        choice=_choice(proof, best),
    )
    more = {name: getattr(line.package, name) for name in ("store", "size", "unit")}
    return [_turn("price", proof, text, item=line.item, **more, price=low / 100)]


def _numbers(planner, best):
    """The number of seedlings of one crop from which another choice wins, others unchanged."""
    scenario, found, left = planner.scenario, [], MOST_NUMBERS
    for place, sowing in enumerate(scenario.sowings):
        if best.picks[place] is None or left <= 0:
            continue
        most = AHEAD * sowing.wanted
        other = yield from _wanting(scenario, place, most).best()
        if other.media == best.media or other.basket.unmet:
            continue
        first = None
        costs = _Costs(scenario, place, other, best)
        for start, wins in costs.stretches(sowing.wanted + 1, most):
            yield None
            if len(costs.known) > left:
                first = None
                break
            if not wins:
                break
            first = start
        left -= len(costs.known)
        if first is None:
            continue
        at = yield from _wanting(scenario, place, first).best()
        if at.media == best.media:
            continue
        text = say(
            "From {number} seedlings of {crop} on, {choice} costs less; checked up to {most}.",
            number=first,
            crop=sowing.crop,
            choice=_choice(other, best),
            most=most,
        )
        more = {"crop": sowing.crop, "from": first, "checked_to": most}
        found.append(_turn("number", other, text, **more))
    return found


class _Costs:
    """Cost of two choices of mixes for every number of one crop; both rise with it."""

    def __init__(self, scenario, place, other, best):
        self._scenario, self._place = scenario, place
        self._plans = other, best
        self.known = {}
        """Both costs, by the number."""

    def stretches(self, first, last):
        """(first number, whether the other choice wins) of ranges, from the last one down."""
        (low, its_low), (high, its_high) = self._at(first), self._at(last)
        if _is_less(high, its_low):
            yield first, True
        elif first == last or not _is_less(low, its_high):
            yield first, False
        else:
            middle = (first + last) // 2
            yield from self.stretches(middle + 1, last)
            yield from self.stretches(first, middle)

    def _at(self, number):
        if number not in self.known:
            planner = _wanting(self._scenario, self._place, number)
            self.known[number] = tuple(planner.of(plan.media).weighed_cost for plan in self._plans)
        return self.known[number]


def _wanting(scenario, place, number):
    sowings = list(scenario.sowings)
    sowings[place] = replace(sowings[place], wanted=number)
    return Planner(replace(scenario, sowings=tuple(sowings)))


def _wins(planner, other, best):
    """Whether one choice of mixes beats another in a planner's scenario."""
    return _beats(planner.of(other.media), planner.of(best.media))


def _priced(planner, line, cents):
    """A planner for the scenario with the package of a line at another price."""
    scenario = planner.scenario
    changed = replace(line.package, price=cents / 100)

    def in_row(row):
        if row.name != line.item:
            return row
        packages = tuple(changed if each == line.package else each for each in row.packages)
        return replace(row, packages=packages)

    rows = {name: tuple(map(in_row, getattr(scenario, name))) for name in ("media", "ingredients")}
    return Planner(replace(scenario, feed=scenario.feed and in_row(scenario.feed), **rows))


def _beats(plan, other):
    """Whether a plan costs visibly less."""
    return not plan.basket.unmet and _is_less(plan.weighed_cost, other.weighed_cost)


def _is_less(cost, other):
    """Whether a sum is less by at least a hundredth, so that it also reads as less."""
    return cost <= other - HUNDREDTH + SAME


def _choice(plan, best):
    """How a plan's choice differs from the best, for a sentence."""
    changed = [
        pick
        for pick, now in zip(plan.picks, best.media, strict=True)
        if pick and pick.medium != now
    ]
    media = tuple(dict.fromkeys(pick.medium for pick in changed))
    is_all = len(set(plan.media) - {None}) == 1
    if is_all or len(changed) > MOST_NAMED:
        return Listed(media, "and")
    return Listed(
        tuple(say("{crop} in {medium}", crop=pick.crop, medium=pick.medium) for pick in changed),
        "and",
    )


def _turn(kind, plan, sentence, costs=None, **more):
    """A turn; `costs` are the whole costs of the plan and of the best."""
    found = {"kind": kind, **more, "media": list(plan.media)}
    if costs:
        wanted = sum(pick.wanted for pick in plan.picks if pick)
        found["each"], found["instead_of"] = (cost / wanted for cost in costs)
    return found | {"sentence": sentence}
