"""The messages of the page: a class for each, under the name that the page gives it.

A message comes as a plain dict: "do", its name, and the fields of its class. Each class has one
handler: in `work.state.HANDLERS` what changes the entries, in `share.desk.HANDLERS` the rest.
`path` is always a place in the document, or a field beside it."""

import re
from dataclasses import MISSING, dataclass, fields


class Message:
    """What the page says; see `read`."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Type(Message):
    """An entry field was typed in; `done` when it was left.

    `unfinished`: the plan waits, for half a price could take its own line from the list.
    """

    path: str
    text: str
    done: bool = False
    unfinished: bool = False


@dataclass(frozen=True, slots=True)
class Add(Message):
    """A row for the list at a place, or the object there."""

    path: str


@dataclass(frozen=True, slots=True)
class AddBlend(Message):
    """A blend of the reader's own."""


@dataclass(frozen=True, slots=True)
class Copy(Message):
    """The row at a place, once more, after it."""

    path: str


@dataclass(frozen=True, slots=True)
class Remove(Message):
    """The row or object at a place goes."""

    path: str


@dataclass(frozen=True, slots=True)
class Undo(Message):
    """What was removed last comes back."""


@dataclass(frozen=True, slots=True)
class Forget(Message):
    """What was removed is offered no longer."""


@dataclass(frozen=True, slots=True)
class Reset(Message):
    """Start from the example."""


@dataclass(frozen=True, slots=True)
class Empty(Message):
    """Start from blank fields."""


@dataclass(frozen=True, slots=True)
class Show(Message):
    """The sowing that is looked at in detail."""

    row: int


@dataclass(frozen=True, slots=True)
class Open(Message):
    """A card was opened, and is kept up to date from now on."""

    text: str


@dataclass(frozen=True, slots=True)
class Tick(Message):
    """A line of the list was put into the cart; taken out if the text is blank."""

    line: str
    count: int
    text: str


@dataclass(frozen=True, slots=True)
class Ask(Message):
    """A question was opened; shut if the text is blank."""

    question: str
    text: str


@dataclass(frozen=True, slots=True)
class More(Message):
    """Nobody is typing: time to work out the plan."""


@dataclass(frozen=True, slots=True)
class Solved(Message):
    """The page's solver has answered, or failed; see solving.py."""

    id: int
    values: list | None = None
    objective: float | int | None = None
    bound: float | int | None = None
    proven: bool = False
    status: str = ""
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class TrialShow(Message):
    """The trials' results are wanted."""


@dataclass(frozen=True, slots=True)
class TrialPaste(Message):
    """The pasted table is to be read."""


@dataclass(frozen=True, slots=True)
class TrialExample(Message):
    """Invented counts, to try the bench with."""


@dataclass(frozen=True, slots=True)
class TrialLesson(Message):
    """What a trial taught of a mix goes into the plan."""

    crop: str
    medium: str


@dataclass(frozen=True, slots=True)
class Save(Message):
    """A file to keep, by its kind."""

    text: str


@dataclass(frozen=True, slots=True)
class Hello(Message):
    """The page starts: what it keeps, its address, and what was chosen here."""

    kept: dict | None = None
    pending: list | None = None
    """Messages that were not answered when the page was closed."""
    link: str = ""
    storage: str = ""
    language: str = ""
    languages: list | None = None
    """The locales of the browser, the dearest first."""
    units: str = ""
    pictured: bool = False
    """Whether the page shows the plan as it kept it."""


@dataclass(frozen=True, slots=True)
class Speak(Message):
    """Another language, by its code."""

    text: str


@dataclass(frozen=True, slots=True)
class Units(Message):
    """ "metric" or "US"."""

    text: str


@dataclass(frozen=True, slots=True)
class Plan(Message):
    """Open the kept plan of that ID."""

    text: str
    kept: dict | None = None


@dataclass(frozen=True, slots=True)
class PlanCopy(Message):
    """Keep a copy of this plan."""


@dataclass(frozen=True, slots=True)
class PlanForget(Message):
    """Let the plan of that ID go."""

    text: str


@dataclass(frozen=True, slots=True)
class ForgetAll(Message):
    """Let everything go and start from the example."""


@dataclass(frozen=True, slots=True)
class Back(Message):
    """Go back to the earlier state of that number."""

    text: int


@dataclass(frozen=True, slots=True)
class Elsewhere(Message):
    """Another tab has kept something."""

    key: str
    text: str | None = None
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Theirs(Message):
    """Take over what another tab has kept."""


@dataclass(frozen=True, slots=True)
class Both(Message):
    """Keep this plan and what another tab made of it."""


@dataclass(frozen=True, slots=True)
class Storage(Message):
    """ "full" or "blocked": nothing can be kept; blank once it can again."""

    text: str


@dataclass(frozen=True, slots=True)
class Link(Message):
    """A link was opened or pasted."""

    text: str


@dataclass(frozen=True, slots=True)
class File(Message):
    """A file was opened."""

    name: str
    text: str | None = None


@dataclass(frozen=True, slots=True)
class Take(Message):
    """What to do with what a link or file holds: "look", "copy", "merge" or "leave"."""

    text: str


@dataclass(frozen=True, slots=True)
class Own(Message):
    """Back from looking to the reader's own plan."""


@dataclass(frozen=True, slots=True)
class Share(Message):
    """Make a link to the page at this address."""

    page: str


@dataclass(frozen=True, slots=True)
class Print(Message):
    """Make a sheet ready for the printer: "handout" or "order"."""

    text: str
    page: str = ""


@dataclass(frozen=True, slots=True)
class Dismiss(Message):
    """The notice was read."""


@dataclass(frozen=True, slots=True)
class LookAround(Message):
    """The reader wants to look at the example."""


@dataclass(frozen=True, slots=True)
class OrderOwn(Message):
    """This plan joins the club's order."""


@dataclass(frozen=True, slots=True)
class OrderLink(Message):
    """A member joins by a link."""

    text: str


@dataclass(frozen=True, slots=True)
class OrderFile(Message):
    """A member joins by a file."""

    name: str
    text: str | None = None


@dataclass(frozen=True, slots=True)
class OrderSplit(Message):
    """How the club divides what it saves: "shapley" or "equal"."""

    text: str


@dataclass(frozen=True, slots=True)
class OrderRemove(Message):
    """The member at that place leaves the order."""

    text: int


@dataclass(frozen=True, slots=True)
class Prices(Message):
    """Read a price list; None for one that is too long."""

    text: str | None = None


@dataclass(frozen=True, slots=True)
class PricesTick(Message):
    """A row of the price list, by its line there, was ticked; unticked if the text is blank."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class PricesMean(Message):
    """Prices with the sign of another currency are right as they stand."""


@dataclass(frozen=True, slots=True)
class PricesTake(Message):
    """Take over the prices that were read."""


@dataclass(frozen=True, slots=True)
class PricesLeave(Message):
    """Leave the prices that were read."""


class Refused(ValueError):
    """Something from outside that cannot be used; the text is a sentence that says why."""


def _named(kind):
    return re.sub("(?<=.)([A-Z])", r"-\1", kind.__name__).lower()


MESSAGES = {_named(kind): kind for kind in Message.__subclasses__()}
"""By the name that the page gives them: `TrialShow` is "trial-show"."""

_NAMES = {kind: name for name, kind in MESSAGES.items()}


def name_of(message):
    """The name of a message, for what is said of a change."""
    return _NAMES[type(message)]


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
