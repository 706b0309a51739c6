"""The messages of the page: a class for each, under the name that the page gives it.

A message comes as a plain dict: "do", its name, and the fields of its class. Each class has one
handler: in `work.state.HANDLERS` what changes the entries, in `share.desk.HANDLERS` the rest.
`path` is always a place in the document, or a field beside it.
"""

from dataclasses import MISSING, dataclass, fields


@dataclass(frozen=True, slots=True)
class Type:
    """An entry field was typed in; `done` when it was left."""

    path: str
    text: str
    done: bool = False


@dataclass(frozen=True, slots=True)
class Add:
    """A row for the list at a place, or the object there."""

    path: str


@dataclass(frozen=True, slots=True)
class AddBlend:
    """A blend of the reader's own."""


@dataclass(frozen=True, slots=True)
class Copy:
    """The row at a place, once more, after it."""

    path: str


@dataclass(frozen=True, slots=True)
class Remove:
    """The row or object at a place goes."""

    path: str


@dataclass(frozen=True, slots=True)
class Undo:
    """What was removed last comes back."""


@dataclass(frozen=True, slots=True)
class Forget:
    """What was removed is offered no longer."""


@dataclass(frozen=True, slots=True)
class Reset:
    """Start from the example."""


@dataclass(frozen=True, slots=True)
class Empty:
    """Start from blank fields."""


@dataclass(frozen=True, slots=True)
class Show:
    """The sowing that is looked at in detail."""

    row: int


@dataclass(frozen=True, slots=True)
class Open:
    """A card was opened, and is kept up to date from now on."""

    text: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of the list was put into the cart, or taken out."""

    line: str
    count: int
    text: str
    """Blank for out."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A question was opened, or shut."""

    question: str
    text: str
    """Blank for shut."""


@dataclass(frozen=True, slots=True)
class More:
    """Nobody is typing: time to work out the plan."""


@dataclass(frozen=True, slots=True)
class Solved:
    """The page's solver has answered, or failed; see solving.py."""

    id: int
    values: list | None = None
    objective: float | int | None = None
    bound: float | int | None = None
    proven: bool = False
    status: str = ""
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class TrialShow:
    """The trials' results are wanted."""


@dataclass(frozen=True, slots=True)
class TrialPaste:
    """The pasted table is to be read."""


@dataclass(frozen=True, slots=True)
class TrialExample:
    """Invented counts, to try the bench with."""


@dataclass(frozen=True, slots=True)
class TrialLesson:
    """What a trial taught of a mix goes into the plan."""

    crop: str
    medium: str


@dataclass(frozen=True, slots=True)
class Save:
    """A file to keep, by its kind."""

    text: str


@dataclass(frozen=True, slots=True)
class Hello:
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
class Speak:
    """Another language, by its code."""

    text: str


@dataclass(frozen=True, slots=True)
class Units:
    """ "metric" or "US"."""

    text: str


@dataclass(frozen=True, slots=True)
class Plan:
    """Open the kept plan of that ID."""

    text: str
    kept: dict | None = None


@dataclass(frozen=True, slots=True)
class PlanCopy:
    """Keep a copy of this plan."""


@dataclass(frozen=True, slots=True)
class PlanForget:
    """Let the plan of that ID go."""

    text: str


@dataclass(frozen=True, slots=True)
class ForgetAll:
    """Let everything go and start from the example."""


@dataclass(frozen=True, slots=True)
class Back:
    """Go back to the earlier state of that number."""

    text: int


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another tab has kept something."""

    key: str
    text: str | None = None
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Theirs:
    """Take over what another tab has kept."""


@dataclass(frozen=True, slots=True)
class Both:
    """Keep this plan and what another tab made of it."""


@dataclass(frozen=True, slots=True)
class Storage:
    """ "full" or "blocked": nothing can be kept; blank once it can again."""

    text: str


@dataclass(frozen=True, slots=True)
class Link:
    """A link was opened or pasted."""

    text: str


@dataclass(frozen=True, slots=True)
class File:
    """A file was opened."""

    name: str
    text: str | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """What to do with what a link or file holds: "look", "copy", "merge" or "leave"."""

    text: str


@dataclass(frozen=True, slots=True)
class Own:
    """Back from looking to the reader's own plan."""


@dataclass(frozen=True, slots=True)
class Share:
    """Make a link to the page at this address."""

    page: str


@dataclass(frozen=True, slots=True)
class Print:
    """Make a sheet ready for the printer: "handout" or "order"."""

    text: str
    page: str = ""


@dataclass(frozen=True, slots=True)
class Dismiss:
    """The notice was read."""


@dataclass(frozen=True, slots=True)
class LookAround:
    """The reader wants to look at the example."""


@dataclass(frozen=True, slots=True)
class OrderOwn:
    """This plan joins the club's order."""


@dataclass(frozen=True, slots=True)
class OrderLink:
    """A member joins by a link."""

    text: str


@dataclass(frozen=True, slots=True)
class OrderFile:
    """A member joins by a file."""

    name: str
    text: str | None = None


@dataclass(frozen=True, slots=True)
class OrderSplit:
    """How the club divides what it saves: "shapley" or "equal"."""

    text: str


@dataclass(frozen=True, slots=True)
class OrderRemove:
    """The member at that place leaves the order."""

    text: int


@dataclass(frozen=True, slots=True)
class Prices:
    """Read a price list; None for one that is too long."""

    text: str | None = None


@dataclass(frozen=True, slots=True)
class PricesTick:
    """A row of the price list was ticked or unticked, by its line in the list."""

    line: int
    text: str
    """Blank for unticked."""


@dataclass(frozen=True, slots=True)
class PricesMean:
    """Prices with the sign of another currency are right as they stand."""


@dataclass(frozen=True, slots=True)
class PricesTake:
    """Take over the prices that were read."""


@dataclass(frozen=True, slots=True)
class PricesLeave:
    """Leave the prices that were read."""


class Refused(ValueError):
    """Something from outside that cannot be used; the text is a sentence that says why."""


MESSAGES = {
    "type": Type,
    "add": Add,
    "add-blend": AddBlend,
    "copy": Copy,
    "remove": Remove,
    "undo": Undo,
    "forget": Forget,
    "reset": Reset,
    "empty": Empty,
    "show": Show,
    "open": Open,
    "tick": Tick,
    "ask": Ask,
    "more": More,
    "solved": Solved,
    "trial-show": TrialShow,
    "trial-paste": TrialPaste,
    "trial-example": TrialExample,
    "trial-lesson": TrialLesson,
    "save": Save,
    "hello": Hello,
    "speak": Speak,
    "units": Units,
    "plan": Plan,
    "plan-copy": PlanCopy,
    "plan-forget": PlanForget,
    "forget-all": ForgetAll,
    "back": Back,
    "elsewhere": Elsewhere,
    "theirs": Theirs,
    "both": Both,
    "storage": Storage,
    "link": Link,
    "file": File,
    "take": Take,
    "own": Own,
    "share": Share,
    "print": Print,
    "dismiss": Dismiss,
    "look-around": LookAround,
    "order-own": OrderOwn,
    "order-link": OrderLink,
    "order-file": OrderFile,
    "order-split": OrderSplit,
    "order-remove": OrderRemove,
    "prices": Prices,
    "prices-tick": PricesTick,
    "prices-mean": PricesMean,
    "prices-take": PricesTake,
    "prices-leave": PricesLeave,
}
"""By the name that the page gives them."""

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
    Type(path='tax', text='7 %', done=False)
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
