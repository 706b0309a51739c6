"""Cost of two mixes for one sowing at the till, number by number."""

from dataclasses import dataclass

from pennyflat.comparing.comparison import Report
from pennyflat.comparing.report import rows_of
from pennyflat.comparing.till import Step, Stretch, look_ahead, steps_at_the_till, stretches
from pennyflat.scenario.records import Scenario


@dataclass(frozen=True, slots=True)
class Curves:
    """The plan's mix and its closest rival."""

    wanted: int
    """[count]"""
    up_to: int
    """Largest number considered. [count]"""
    lines: dict[str, tuple[Step, ...]]
    """Steps by medium; up to two of them."""
    stretches: tuple[Stretch, ...]
    """Which of them costs less from which number on."""


def curves(scenario: Scenario, report: Report, row: int, planned: str | None) -> Curves:
    """
    Cost of the plan's mix and its closest rival, from one seedling on.

    The `report` is that of `compared` for the scenario; `row` is the sowing's number, `planned` its
    medium in the plan.

    Examples
    --------
    >>> from pennyflat.comparing.report import compared
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> list(curves(demo, compared(demo), 0, "Seed starter mix").lines)
    ['Seed starter mix', 'Bulk potting mix']
    """
    sowing, rows = scenario.sowings[row], rows_of(report, row)
    paid = {found["medium"]: found["at_the_till"]["paid"] for found in rows if found["at_the_till"]}
    contenders = dict.fromkeys([planned, *sorted(paid, key=paid.__getitem__)])
    lines = {
        name: steps_at_the_till(scenario, sowing, scenario.medium(name))
        for name in list(filter(None, contenders))[:2]
    }
    up_to = look_ahead(sowing.wanted)
    return Curves(sowing.wanted, up_to, lines, stretches(lines, up_to) if lines else ())
