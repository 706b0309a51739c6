"""Which growing medium for which planting, so that all of them together cost least, proven.

Plantings that share a medium share its packages and its trips, so the choice is one for all. It is
searched by branch and bound: a branch decides which stores are visited, then of which items
anything is bought, then what single plantings take; `mix_bound` says what the undecided rest costs
at least. Branches with the lowest bound are followed first, until none is below the best choice
known. Bounds and costs are whole numbers on the grid of the packages (see `grid`).

What a blend needs is not in proportion where some of it is at home already. An undecided planting
is then counted as if that stock were all its own, which is never too much.
"""

from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import chain

from pennyflat.joint_cost import JointCost, key_of, rest_of
from pennyflat.mix_bound import Dual, Stairs
from pennyflat.needs import needs_of
from pennyflat.piecemeal import to_the_end

MOST_BRANCHES = 4_000
"""Branches bounded before the search stops without a proof. [count] Ours."""

ROOT_STEPS, BRANCH_STEPS = 60, 6
"""Steps by which a bound is improved for the first branch and for others. [count] Ours."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What was found."""

    picks: tuple
    """One requirement for each planting."""
    proven: bool
    """Whether no other choice can cost less."""
    at_least: float
    """Packages, trips and the as-used rest of any choice cost this or more. [currency]"""


def least_choice(scenario, options, *, most_branches=MOST_BRANCHES):
    """
    The choice that makes packages, trips and the as-used rest cost least.

    Parameters
    ----------
    scenario : Scenario
    options : sequence of sequence of Requirement
        For each planting, the media to choose among; at least one each, all ready.
    most_branches : int, default 4000
        When to give up proving it. [count]

    Returns
    -------
    Choice
        What limits leave unmet is made as little as can be first, in litres and kilograms together;
        then money decides, then the number of packages.

    Examples
    --------
    >>> from pennyflat.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> rows = [[requirement(demo, p, medium) for medium in demo.media] for p in demo.plantings]
    >>> choice = least_choice(demo, rows)
    >>> [needed.medium for needed in choice.picks], choice.proven
    (['Seed starter mix', 'Seed starter mix', 'Seed starter mix'], True)
    """
    return to_the_end(least_choice_piecemeal(scenario, options, most_branches))


def least_choice_piecemeal(scenario, options, most_branches):
    """As `least_choice`, as work that can be left off; see `piecemeal`."""
    rows = []
    for row in options:
        rows.append(_worth_a_look(scenario, row))
        yield
    return (yield from _Search(scenario, rows).run(most_branches))


@dataclass(frozen=True, slots=True)
class _Branch:
    """Choices that agree in some decisions."""

    visited: int
    """Bits of the stores whose trips are paid."""
    undecided: int
    """Bits of the stores that may or may not be visited."""
    opened: frozenset
    """Items of which something is bought."""
    closed: frozenset
    """Items of which nothing is bought, so that no more is taken than is at home."""
    picks: tuple
    """What each planting takes; None where undecided."""
    point: object = None
    """The best bound of what the undecided ones take."""


class _Search:
    def __init__(self, scenario, rows):
        self.rows = rows
        self.joint = JointCost(scenario, rows)
        self.stores, self.grid = self.joint.stores, self.joint.grid
        self.shelves, self.rests = self.joint.shelves, self.joint.rests
        self.takes = [[self.joint.takes(needed) for needed in row] for row in rows]
        self.litres = [max(sum(needed.litres.values()) for needed in row) for row in rows]
        self.known, self.stairs_at = {}, {}
        self.best = None
        self.bounded = 0

    def run(self, most_branches):
        if not self.rows:
            return Choice((), True, 0.0)
        yield from self._start()
        branches = []
        undecided = (None,) * len(self.rows)
        yield from self._push(
            branches,
            _Branch(0, sum(self.stores.trips), frozenset(), frozenset(), undecided),
        )
        while branches and self._promises(branches[0][0]) and self.bounded < most_branches:
            _, _, branch = heappop(branches)
            for child in self._children(branch):
                yield from self._push(branches, child)
        proven = not branches or not self._promises(branches[0][0])
        bound = self.best[0] if proven else branches[0][0]
        return Choice(tuple(self.joint.chosen(self.best[1])), proven, self.joint.money(bound))

    def _start(self):
        """Good choices to begin with: one medium for as many as can, then the best changes."""
        own = []
        for place in range(len(self.rows)):
            own.append(self.joint.cheapest_alone(place))
            yield
        self._offer(tuple(own))
        names = [[needed.medium for needed in row] for row in self.rows]
        for medium in sorted(set(chain(*names))):
            self._offer(
                tuple(
                    row.index(medium) if medium in row else pick
                    for row, pick in zip(names, own, strict=True)
                )
            )
            yield
        before = None
        while before is not self.best:
            before = self.best
            for place, row in enumerate(self.rows):
                for pick in range(len(row)):
                    self._offer((*self.best[1][:place], pick, *self.best[1][place + 1 :]))
                yield

    def _offer(self, picks):
        """Make a choice the best known if it is."""
        if picks in self.known:
            return
        self.known[picks] = cost = self.joint.of(picks)
        if self.best is None or cost < self.best[0]:
            self.best = (cost, picks)

    def _promises(self, bound):
        """Whether a branch may hold a choice of less money, or as much in fewer packages."""
        return self.grid.rank(bound) < self.grid.rank(self.best[0])

    def _children(self, branch):
        """The ways to go on from a branch: a store, else an item, else a planting is decided."""
        trips = {bit: cost for bit, cost in self.stores.trips.items() if bit & branch.undecided}
        if trips:
            bit = max(trips, key=trips.get)
            left = branch.undecided & ~bit
            return [
                replace(branch, undecided=left),
                replace(branch, undecided=left, visited=branch.visited | bit),
            ]
        item = self._item_to_decide(branch)
        if item is not None:
            return [
                replace(branch, closed=branch.closed | {item}),
                replace(branch, opened=branch.opened | {item}),
            ]
        place = max(branch.point.choice, key=self.litres.__getitem__)
        return [
            replace(branch, picks=(*branch.picks[:place], pick, *branch.picks[place + 1 :]))
            for pick in range(len(self.rows[place]))
        ]

    def _item_to_decide(self, branch):
        """Of the items that would be bought but need not yet be, the dearest to begin on."""
        decided = {
            i for i, wanted in self.joint.wanted(self.joint.chosen(branch.picks)) if wanted > 0
        }
        whole = self.joint.chosen(_filled(branch.picks, branch.point.choice))
        bought = {i for i, wanted in self.joint.wanted(whole) if wanted > 0}
        stairs = self._stairs(branch.visited | branch.undecided)
        return max(
            bought - decided - branch.opened - branch.closed,
            key=lambda item: stairs[item].first,
            default=None,
        )

    def _push(self, branches, branch):
        """Bound a branch and keep it if it promises anything; a full choice is offered instead."""
        if None not in branch.picks:
            self._offer(branch.picks)
            return
        self.bounded += 1
        bound, point = yield from self._bound(branch)
        if point is not None and self._promises(bound):
            self._offer(_filled(branch.picks, point.choice))
            heappush(branches, (bound, self.bounded, replace(branch, point=point)))

    def _bound(self, branch):
        """What any choice of a branch costs at least, and the point that says so."""
        had = [shelf.wanted(0.0) for shelf in self.shelves]
        for item, wanted in self.joint.wanted(self.joint.chosen(branch.picks)):
            had[item] = wanted
        fixed, rows = self.stores.trips_to(branch.visited), {}
        for place, pick in enumerate(branch.picks):
            if pick is None:
                rows[place] = self._open_choices(place, branch.closed, had)
            else:
                fixed += self.rests[place][pick]
        if not all(rows.values()) or any(had[item] > 0 for item in branch.closed):
            return None, None
        stairs = self._stairs(branch.visited | branch.undecided)
        dual = Dual(stairs, had, branch.opened, branch.closed, rows)
        point, steps = dual.at(dual.safe_prices()), ROOT_STEPS
        if branch.point is not None:
            inherited = dual.at(branch.point.prices)
            point = max(point, inherited, key=lambda point: point.value)
            steps = BRANCH_STEPS
        point = yield from dual.climb(point, self.best[0] - fixed, steps)
        return point.value + fixed, point

    def _open_choices(self, place, closed, had):
        """
        (pick, rest, [(item, steps)]) of a planting's choices that closed items leave.

        What it takes in any of them is added to `had` instead.
        """
        choices = [
            (pick, rest, dict(take))
            for pick, (rest, take) in enumerate(
                zip(self.rests[place], self.takes[place], strict=True)
            )
            if not any(item in closed and had[item] + steps > 0 for item, steps in take)
        ]
        inevitable = {}
        if choices:
            for item in choices[0][2]:
                least = min(take.get(item, 0) for _, _, take in choices)
                inevitable[item] = least
                had[item] += least
        return [
            (
                pick,
                rest,
                [
                    (item, steps - inevitable.get(item, 0))
                    for item, steps in take.items()
                    if steps > inevitable.get(item, 0)
                ],
            )
            for pick, rest, take in choices
        ]

    def _stairs(self, open_stores):
        if open_stores not in self.stairs_at:
            self.stairs_at[open_stores] = [
                Stairs(shelf, largest, open_stores)
                for shelf, largest in zip(self.shelves, self.joint.largest, strict=True)
            ]
        return self.stairs_at[open_stores]


def _filled(picks, choice):
    """Picks, and for plantings without one the choice."""
    return tuple(choice[place] if pick is None else pick for place, pick in enumerate(picks))


def _worth_a_look(scenario, row):
    """A planting's choices without those that take no less of anything than another."""
    rests = [rest_of(needed) for needed in row]
    amounts = [{key_of(need): need.amount for need in needs_of(scenario, [n])} for n in row]
    media = [scenario.medium(needed.medium) for needed in row]
    can_beat = [not (medium.stock and medium.parts) for medium in media]

    def is_beaten_by(place, other):
        if not can_beat[other] or rests[other] > rests[place]:
            return False
        own = amounts[place]
        if any(own.get(key, 0.0) < amount for key, amount in amounts[other].items()):
            return False
        equal = rests[other] == rests[place] and amounts[other] == own
        return not equal or other < place

    places = range(len(row))
    return [
        row[place]
        for place in places
        if not any(is_beaten_by(place, other) for other in places if other != place)
    ]
