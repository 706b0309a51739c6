"""The messages of the page: a class for each, under the name that the page gives it.

A message comes as a plain dict: "do", its name, and the fields of its class. Its one handler stands
in `work.state.HANDLERS`, if it changes the entries, or in `share.desk.HANDLERS`. `path` is always a
place in the document, or a field beside it."""

import re
from dataclasses import MISSING, dataclass, fields
from typing import dataclass_transform


@dataclass_transform(frozen_default=True)
class Message:
    """What the page says; see `read`. Its classes are frozen dataclasses."""

    def __init_subclass__(cls):
        dataclass(frozen=True)(cls)


class Type(Message):
    """An entry field was typed in; `done` when it was left.

    `unfinished`: the plan waits, for half a price could take its own line from the list.
    """

    path: str
    text: str
    done: bool = False
    unfinished: bool = False


class Add(Message):
    """A row for the list at a place, or the object there."""

    path: str


class AddBlend(Message):
    """A blend of the reader's own."""


class Copy(Message):
    """The row at a place, once more, after it."""

    path: str


class Remove(Message):
    """The row or object at a place goes."""

    path: str


class Undo(Message):
    """What was removed last comes back."""


class Forget(Message):
    """What was removed is offered no longer."""


class Reset(Message):
    """Start from the example."""


class Empty(Message):
    """Start from blank fields."""


class Show(Message):
    """The sowing that is looked at in detail."""

    row: int


class Open(Message):
    """A card was opened, and is kept up to date from now on."""

    text: str


class Tick(Message):
    """A line of the list was put into the cart; taken out if the text is blank."""

    line: str
    count: int
    text: str


class Ask(Message):
    """A question was opened; shut if the text is blank."""

    question: str
    text: str


class More(Message):
    """Nobody is typing: time to work out the plan."""


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
    """The trials' results are wanted."""


class TrialPaste(Message):
    """The pasted table is to be read."""


class TrialExample(Message):
    """Invented counts, to try the bench with."""


class TrialLesson(Message):
    """What a trial taught of a mix goes into the plan."""

    crop: str
    medium: str


class SeasonNext(Message):
    """Next year's plan, from what happened with this one."""


class Save(Message):
    """A file to keep, by its kind."""

    text: str


class Hello(Message):
    """The page starts: what it keeps, its address, and what was chosen here."""

    kept: dict | None = None
    pending: list | None = None
    """Messages that were not answered when the page was closed."""
    link: str = ""
    visit: str = ""
    """The link that was opened last, if it was neither copied nor left."""
    storage: str = ""
    language: str = ""
    languages: list | None = None
    """The locales of the browser, the dearest first."""
    units: str = ""
    pictured: bool = False
    """Whether the page shows the plan as it kept it."""


class Speak(Message):
    """Another language, by its code."""

    text: str


class Units(Message):
    """ "metric" or "US"."""

    text: str


class Plan(Message):
    """Open the kept plan of that ID."""

    text: str
    kept: dict | None = None


class PlanCopy(Message):
    """Keep a copy of this plan."""


class PlanForget(Message):
    """Let the plan of that ID go."""

    text: str


class ForgetAll(Message):
    """Let everything go and start from the example."""


class Back(Message):
    """Go back to the earlier state of that number."""

    text: int


class Elsewhere(Message):
    """Another tab has kept something."""

    key: str
    text: str | None = None
    lost: bool = False


class Theirs(Message):
    """Take over what another tab has kept."""


class Both(Message):
    """Keep this plan and what another tab made of it."""


class Storage(Message):
    """ "full" or "blocked": nothing can be kept; blank once it can again."""

    text: str


class Link(Message):
    """A link was opened or pasted, or `again` by the page as it starts."""

    text: str
    again: bool = False


class File(Message):
    """A file was opened."""

    name: str
    text: str | None = None


class Take(Message):
    """What to do with what a link or file holds: "look", "copy", "merge" or "leave"."""

    text: str


class Own(Message):
    """Back from looking to the reader's own plan."""


class Share(Message):
    """Make a link to the page at this address."""

    page: str


class Print(Message):
    """Make a sheet ready for the printer: "handout" or "order"."""

    text: str
    page: str = ""


class Dismiss(Message):
    """The notice was read."""


class LookAround(Message):
    """The reader wants to look at the example."""


class OrderOwn(Message):
    """This plan joins the club's order."""


class OrderLink(Message):
    """A member joins by a link."""

    text: str


class OrderFile(Message):
    """A member joins by a file."""

    name: str
    text: str | None = None


class OrderSplit(Message):
    """How the club divides what it saves: "shapley" or "equal"."""

    text: str


class OrderRemove(Message):
    """The member at that place leaves the order."""

    text: int


class Prices(Message):
    """Read a price list; None for one that is too long."""

    text: str | None = None


class PricesTick(Message):
    """A row of the price list, by its line there, was ticked; unticked if the text is blank."""

    line: int
    text: str


class PricesMean(Message):
    """Prices with the sign of another currency are right as they stand."""


class PricesTake(Message):
    """Take over the prices that were read."""


class PricesLeave(Message):
    """Leave the prices that were read."""


class Refused(ValueError):
    """Something from outside that cannot be used; the text is a sentence that says why."""


def _named(kind):
    return re.sub("(?<=.)([A-Z])", r"-\1", kind.__name__).lower()


MESSAGES = {_named(kind): kind for kind in Message.__subclasses__()}
"""By the name that the page gives them: `TrialShow` is "trial-show"."""


def name_of(message):
    """The name of a message, for what is said of a change."""
    return _named(type(message))


def read(told):
    """
    The message in a plain dict; None where it is none.

    Examples
    --------
    >>> read({"do": "type", "path": "tax", "text": "7 %", "seq": 3})
    Type(path='tax', text='7 %', done=False, unfinished=False)
    >>> read({"do": "type"}) is None, read({"do": "dance"}) is None
    (True, True)
    """
    kind = MESSAGES.get(told.get("do"))
    if kind is None:
        return None
    found = {}
    for field in fields(kind):
        value = told.get(field.name, field.default)
        if value is MISSING:
            return None
        try:
            found[field.name] = int(value) if field.type is int else value
        except (TypeError, ValueError):
            return None
        if not isinstance(found[field.name], field.type):
            return None
    return kind(**found)
