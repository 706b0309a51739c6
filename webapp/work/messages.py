"""The messages of the page, by the page's names for them.

A message arrives as a plain dict: "do", its name, and its fields. Its one handler is in
`work.state.HANDLERS`, if it changes the entries, or in `share.desk.HANDLERS`. `path` is always a
place in the document, or a field beside it.
"""

from types import SimpleNamespace, UnionType

MESSAGES = {
    # A field was typed in; `done` when it was left. `unfinished`: the plan waits, since a price
    # that is half-typed could remove its own line from the list.
    "type": {"path": str, "text": str, "done": False, "unfinished": False},
    "add": {"path": str},  # a row of the list at a place, or the object there
    "add-blend": {},
    "copy": {"path": str},
    "remove": {"path": str},
    "undo": {},  # the last removal
    "forget": {},  # no longer offer to restore what was removed
    "reset": {},  # start from the example
    "empty": {},  # start from blank fields
    "show": {"row": int},  # a sowing in detail
    "open": {"text": str},  # a card, which is kept up to date from now on
    "tick": {"line": str, "count": int, "text": str},  # into the cart, or out of it if `text` is ""
    "ask": {"question": str, "text": str},  # a question was opened, or closed if `text` is ""
    "more": {},  # typing has stopped: time to work out the plan
    "solved": {  # the page's solver has answered, or failed; see solving.py
        "id": int,
        "values": list | None,
        "objective": float | int | None,
        "bound": float | int | None,
        "proven": False,
        "status": "",
        "trouble": "",
    },
    "trial-show": {},
    "trial-paste": {},
    "trial-example": {},
    "trial-lesson": {"crop": str, "medium": str},  # apply what a trial taught about a mix
    "season-next": {},  # make next year's plan from what happened with this one
    "save": {"text": str},  # a file, by its kind
    "hello": {
        "kept": dict | None,
        "pending": list | None,  # messages that were not answered when the page was closed
        "link": "",
        "visit": "",  # the link opened last, if it was neither copied nor left
        "storage": "",
        "language": "",
        "languages": list | None,  # the browser's locales, in order of preference
        "units": "",
        "pictured": False,  # whether the page shows the stored plan
    },
    "speak": {"text": str},  # another language, by its code
    "units": {"text": str},  # "metric" or "US"
    "plan": {"text": str, "kept": dict | None},  # open the stored plan with that ID
    "plan-copy": {},
    "plan-forget": {"text": str},
    "forget-all": {},  # delete everything and start from the example
    "back": {"text": int},  # to the earlier state with that number
    # Another tab has stored something, or deleted it if `text` is None. `own`: what this tab has of
    # that plan, if the page could not store it any more.
    "elsewhere": {"key": str, "text": str | None, "own": str | None},
    "theirs": {},  # accept another tab's version
    "both": {},  # store this plan and another tab's version of it
    "storage": {"text": str},  # "full" or "blocked", or "" once something can be stored again
    "link": {"text": str, "again": False},  # `again` if the page restored it at start
    "file": {"name": str, "text": str | None},
    "take": {"text": str},  # a link's or file's contents: "look", "copy", "merge" or "leave"
    "own": {},  # return from looking to the reader's own plan
    "share": {"page": str},  # make a link to the page at this address
    "print": {"text": str, "page": ""},  # "handout" or "order"
    "dismiss": {},  # the notice was read
    "look-around": {},
    "order-own": {},
    "order-link": {"text": str},
    "order-file": {"name": str, "text": str | None},
    "order-split": {"text": str},  # "shapley" or "equal"
    "order-remove": {"text": int},  # the member at that place
    "prices": {"text": str | None},  # a price list; None for one that is too long
    "prices-tick": {"line": int, "text": str},  # a row, by its line, or not if `text` is ""
    "prices-mean": {},  # prices with another currency's sign are right as they are
    "prices-take": {},
    "prices-leave": {},
}
"""The fields of each message: the type of a required one, the default of any other, or a type that
includes None."""


class Refused(ValueError):
    """Something unusable from outside; the text is a sentence that says why."""


def read(told):
    """
    The message in a plain dict, with `do` and its fields as attributes; `do` is "" if invalid.

    Examples
    --------
    >>> read({"do": "type", "path": "tax", "text": "7 %", "seq": 3})
    namespace(do='type', path='tax', text='7 %', done=False, unfinished=False)
    >>> read({"do": "type"}), read({"do": "dance"})
    (namespace(do=''), namespace(do=''))
    """
    do = told.get("do")
    invalid, found = SimpleNamespace(do=""), SimpleNamespace(do=do)
    if do not in MESSAGES:
        return invalid
    for name, kind in MESSAGES[do].items():
        is_type = isinstance(kind, type | UnionType)
        value = told.get(name, None if is_type else kind)
        try:
            value = int(value) if kind is int else value
        except (TypeError, ValueError):
            return invalid
        if not isinstance(value, kind if is_type else type(kind)):
            return invalid
        setattr(found, name, value)
    return found
