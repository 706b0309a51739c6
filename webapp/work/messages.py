"""The messages of the page: a class for each, under the page's name for it.

A message arrives as a plain dict: "do", its name, and the fields of its class. Its one handler is
in `work.state.HANDLERS`, if it changes the entries, or in `share.desk.HANDLERS`. `path` is always a
place in the document, or a field beside it."""

import re
from dataclasses import dataclass, fields
from typing import dataclass_transform


@dataclass_transform(frozen_default=True)
class Message:
    """A message from the page; see `read`. Its classes are frozen dataclasses."""

    do = ""
    """The page's name for it, from that of its class: `TrialShow` is "trial-show"."""

    def __init_subclass__(cls):
        cls.do = re.sub("(?<=.)([A-Z])", r"-\1", cls.__name__).lower()
        dataclass(frozen=True)(cls)


class Type(Message):
    """An entry field was typed in; `done` when it was left.

    `unfinished`: the plan waits, since a half-typed price could remove its own line from the list.
    """

    path: str
    text: str
    done: bool = False
    unfinished: bool = False


class Add(Message):
    """Add a row to the list at a place, or the object there."""

    path: str


class AddBlend(Message):
    """Add a blend of the reader's own."""


class Copy(Message):
    """Duplicate the row at a place."""

    path: str


class Remove(Message):
    """Remove the row or object at a place."""

    path: str


class Undo(Message):
    """Restore what was removed last."""


class Forget(Message):
    """Stop offering to restore what was removed."""


class Reset(Message):
    """Start from the example."""


class Empty(Message):
    """Start from blank fields."""


class Show(Message):
    """Show a sowing in detail."""

    row: int


class Open(Message):
    """A card was opened, and is kept up to date from now on."""

    text: str


class Tick(Message):
    """A line of the list was put into the cart, or taken out if the text is blank."""

    line: str
    count: int
    text: str


class Ask(Message):
    """A question was opened, or closed if the text is blank."""

    question: str
    text: str


class More(Message):
    """Typing has stopped: time to work out the plan."""


class Solved(Message):
    """The page's solver has answered, or failed; see solving.py."""

    id: int
    values: list | None = None
    objective: float | int | None = None
    bound: float | int | None = None
    proven: bool = False
    status: str = ""
    trouble: str = ""


class TrialShow(Message):
    """Show the trials' results."""


class TrialPaste(Message):
    """Read the pasted table."""


class TrialExample(Message):
    """Add made-up counts, to try the bench with."""


class TrialLesson(Message):
    """Apply to the plan what a trial taught about a mix."""

    crop: str
    medium: str


class SeasonNext(Message):
    """Make next year's plan from what happened with this one."""


class Save(Message):
    """Save a file, by its kind."""

    text: str


class Hello(Message):
    """The page starts: what it has stored, its address, and the reader's settings."""

    kept: dict | None = None
    pending: list | None = None
    """Messages that were not answered when the page was closed."""
    link: str = ""
    visit: str = ""
    """The link opened last, if it was neither copied nor left."""
    storage: str = ""
    language: str = ""
    languages: list | None = None
    """The browser's locales, in order of preference."""
    units: str = ""
    pictured: bool = False
    """Whether the page shows the stored plan."""


class Speak(Message):
    """Switch to another language, by its code."""

    text: str


class Units(Message):
    """Switch to "metric" or "US" units."""

    text: str


class Plan(Message):
    """Open the stored plan with that ID."""

    text: str
    kept: dict | None = None


class PlanCopy(Message):
    """Store a copy of this plan."""


class PlanForget(Message):
    """Delete the plan with that ID."""

    text: str


class ForgetAll(Message):
    """Delete everything and start from the example."""


class Back(Message):
    """Go back to the earlier state with that number."""

    text: int


class Elsewhere(Message):
    """Another tab has stored something; None if it has deleted it."""

    key: str
    text: str | None = None
    own: str | None = None
    """What this tab has of that plan, if the page could not store it any more."""


class Theirs(Message):
    """Accept another tab's version."""


class Both(Message):
    """Store this plan and another tab's version of it."""


class Storage(Message):
    """ "full" or "blocked": nothing can be stored; blank once it can again."""

    text: str


class Link(Message):
    """A link was opened or pasted; `again` if the page restored it at start."""

    text: str
    again: bool = False


class File(Message):
    """A file was opened."""

    name: str
    text: str | None = None


class Take(Message):
    """What to do with the contents of a link or file: "look", "copy", "merge" or "leave"."""

    text: str


class Own(Message):
    """Return from looking to the reader's own plan."""


class Share(Message):
    """Make a link to the page at this address."""

    page: str


class Print(Message):
    """Prepare a sheet for the printer: "handout" or "order"."""

    text: str
    page: str = ""


class Dismiss(Message):
    """The notice was read."""


class LookAround(Message):
    """Look at the example."""


class OrderOwn(Message):
    """Add this plan to the club's order."""


class OrderLink(Message):
    """Add a member by a link."""

    text: str


class OrderFile(Message):
    """Add a member by a file."""

    name: str
    text: str | None = None


class OrderSplit(Message):
    """How the club divides its saving: "shapley" or "equal"."""

    text: str


class OrderRemove(Message):
    """Remove the member at that place from the order."""

    text: int


class Prices(Message):
    """Read a price list; None for one that is too long."""

    text: str | None = None


class PricesTick(Message):
    """A row of the price list, by its line, was ticked, or unticked if the text is blank."""

    line: int
    text: str


class PricesMean(Message):
    """Prices with another currency's sign are right as they are."""


class PricesTake(Message):
    """Take over the prices read."""


class PricesLeave(Message):
    """Discard the prices read."""


class Refused(ValueError):
    """Something unusable from outside; the text is a sentence that says why."""


MESSAGES = {kind.do: kind for kind in Message.__subclasses__()}


def read(told):
    """
    The message in a plain dict; its `do` is "" if there is none.

    Examples
    --------
    >>> read({"do": "type", "path": "tax", "text": "7 %", "seq": 3})
    Type(path='tax', text='7 %', done=False, unfinished=False)
    >>> read({"do": "type"}).do, read({"do": "dance"}).do
    ('', '')
    """
    kind, found = MESSAGES.get(told.get("do"), Message), {}
    for field in fields(kind) if kind.do else ():
        value = told.get(field.name, field.default)
        try:
            found[field.name] = int(value) if field.type is int else value
        except (TypeError, ValueError):
            return Message()
        if not isinstance(found[field.name], field.type):
            return Message()
    return kind(**found)
