"""The messages of the page: a typed class for each, all in one table.

A message arrives as a plain dict: "do", its name, and the fields of its class. Its one handler is
the method `on_NAME` of `work.state.Work`, or its `Errand`, if it is about the entries, or of
`share.desk.Desk`, its `Pooling` or its `Prices`. `path` is always a place in the document, or a
field beside it."""

from dataclasses import dataclass, fields, make_dataclass
from types import UnionType


class Refused(ValueError):
    """Something unusable from outside; the text is a sentence that says why."""


@dataclass(frozen=True)
class Message:
    """A message from the page; see `read`."""

    do = ""
    """The page's name for it."""

    def handler(self, *owners):
        """The method of one of the owners that handles it, or None."""
        name = f"on_{self.do.replace('-', '_')}"
        return next(filter(None, (getattr(owner, name, None) for owner in owners)), None)


def _message(do, meaning, **told):
    """
    The class of a message, by the page's name for it: `TrialShow` for "trial-show".

    A field is told by its type if it is required, and else by its default, or a type with None.
    """

    def declared(field):
        if isinstance(field, type):
            return (field,)
        return (field, None) if isinstance(field, UnionType) else (type(field), field)

    found = [(name, *declared(field)) for name, field in told.items()]
    own, name = {"do": do, "__doc__": meaning}, do.title().replace("-", "")
    return make_dataclass(name, found, bases=(Message,), namespace=own, frozen=True)


_ALL = (
    # About the entries

    # unfinished: the plan waits, since a half-typed price could remove its own line from the list
    _message("type", "An entry field was typed in; `done` when it was left.",
             path=str, text=str, done=False, unfinished=False),
    _message("add", "Add a row to the list at a place, or the object there.", path=str),
    _message("add-blend", "Add a blend of the reader's own."),
    _message("copy", "Duplicate the row at a place.", path=str),
    _message("remove", "Remove the row or object at a place.", path=str),
    _message("undo", "Restore what was removed last."),
    _message("forget", "Stop offering to restore what was removed."),
    _message("reset", "Start from the example."),
    _message("empty", "Start from blank fields."),
    _message("show", "Show a sowing in detail.", row=int),
    _message("open", "A card was opened, and is kept up to date from now on.", text=str),
    _message("tick", "A line of the list was put into the cart, or taken out if the text is blank.",
             line=str, count=int, text=str),
    _message("ask", "A question was opened, or closed if the text is blank.",
             question=str, text=str),
    _message("more", "Typing has stopped: time to work out the plan."),
    _message("solved", "The page's solver has answered, or failed; see errand.py.",
             id=int, values=list | None, objective=float | int | None, bound=float | int | None,
             proven=False, status="", trouble=""),
    _message("trial-show", "Show the trials' results."),
    _message("trial-paste", "Read the pasted table."),
    _message("trial-example", "Add made-up counts, to try the bench with."),
    _message("trial-lesson", "Apply to the plan what a trial taught about a mix.",
             crop=str, medium=str),
    _message("season-next", "Make next year's plan from what happened with this one."),

    # About everything else

    # kept: what the page has stored; pending: messages not answered when it was closed; visit: the
    # link opened last, if it was neither copied nor left; languages: the browser's locales, in
    # order of preference; pictured: whether the page shows the stored plan
    _message("hello", "The page starts: what it has stored, its address, the reader's settings.",
             kept=dict | None, pending=list | None, link="", visit="", storage="", language="",
             languages=list | None, units="", pictured=False),
    _message("save", "Save a file, by its kind.", text=str),
    _message("speak", "Switch to another language, by its code.", text=str),
    _message("units", 'Switch to "metric" or "US" units.', text=str),
    _message("plan", "Open the stored plan with that ID.", text=str, kept=dict | None),
    _message("plan-copy", "Store a copy of this plan."),
    _message("plan-forget", "Delete the plan with that ID.", text=str),
    _message("forget-all", "Delete everything and start from the example."),
    _message("back", "Go back to the earlier state with that number.", text=int),
    # own: what this tab has of that plan, if the page could not store it any more
    _message("elsewhere", "Another tab has stored something; None if it has deleted it.",
             key=str, text=str | None, own=str | None),
    _message("theirs", "Accept another tab's version."),
    _message("both", "Store this plan and another tab's version of it."),
    _message("storage", '"full" or "blocked": nothing can be stored; blank once it can again.',
             text=str),
    _message("link", "A link was opened or pasted; `again` if the page restored it at start.",
             text=str, again=False),
    _message("file", "A file was opened; None if it is too long.", name=str, text=str | None),
    _message("take", 'Do with what a link or file holds: "look", "copy", "merge" or "leave".',
             text=str),
    _message("own", "Return from looking to the reader's own plan."),
    _message("share", "Make a link to the page at this address.", page=str),
    _message("print", 'Prepare a sheet for the printer: "handout" or "order".', text=str, page=""),
    _message("dismiss", "The notice was read."),
    _message("look-around", "Look at the example."),
    _message("order-own", "Add this plan to the club's order."),
    _message("order-link", "Add a member by a link.", text=str),
    _message("order-file", "Add a member by a file.", name=str, text=str | None),
    _message("order-split", 'How the club divides its saving: "shapley" or "equal".', text=str),
    _message("order-remove", "Remove the member at that place from the order.", text=int),
    _message("prices", "Read a price list; None for one that is too long.", text=str | None),
    _message("prices-tick", "A row, by its line, was ticked, or unticked if the text is blank.",
             line=int, text=str),
    _message("prices-mean", "Prices with another currency's sign are right as they are."),
    _message("prices-take", "Take over the prices read."),
    _message("prices-leave", "Discard the prices read."),
)  # fmt: skip

MESSAGES = {kind.do: kind for kind in _ALL}


def read(told):
    """
    The message in a plain dict; its `do` is "" if there is none.

    >>> read({"do": "type", "path": "tax", "text": "7 %", "seq": 3})
    Type(path='tax', text='7 %', done=False, unfinished=False)
    >>> read({"do": "type"}).do, read({"do": "dance"}).do
    ('', '')
    """
    kind, found = MESSAGES.get(told.get("do"), Message), {}
    for field in fields(kind):
        value = told.get(field.name, field.default)
        try:
            found[field.name] = int(value) if field.type is int else value
        except (TypeError, ValueError):
            return Message()
        if not isinstance(found[field.name], field.type):
            return Message()
    return kind(**found)
