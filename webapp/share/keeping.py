"""The plans stored on this device: the list, the earlier states of the open plan, and conflicts
with other tabs.

A plan is a scenario document under its own key. This module decides what is stored; the page
(shell/keep.js) stores it as text by key in the browser:

    plan:ID      {"title", "at", "document", "answered", "ticks"}
    past:ID:N    {"number", "at", "what", "document"}: a state before a change, N from 0 to 19
    current      ID of the plan used last
    visit        the link opened last, until the reader has copied or left what it holds

`answered` is the last document without a fault, if that is not `document`. `at` is a time. [s]
Documents in an earlier format are stored unchanged and converted when read.
"""

import json
import secrets
import time
from collections import namedtuple

from page.fields import fault_link
from pennyflat.scenario.checking import Fault
from pennyflat.scenario.earlier_formats import upgraded
from reader.words import later, text, text_or_none
from work.entry import steps

MOST_PAST = 20
"""Earlier states stored per plan. [count]"""

MOST_TEXT = 2_000_000
"""Longest stored text that is read. [characters]"""

UNREADABLE = (ValueError, KeyError, TypeError, OverflowError, RecursionError)
"""Errors from reading a stored text that is not ours."""


ADDED = {
    "sowings": "sowing", "media": "mix", "packages": "package", "seed_packets": "packet",
    "ingredients": "ingredient", "parts": "part", "additions": "addition", "stores": "store",
    "trays": "tray", "trials": "pot", "counts": "count", "looks": "look",
} | {name: name for name in ("feed", "energy", "labour", "water")}  # fmt: skip
"""What is added to a list or as an object, by its key, as in the text of its button."""

PRESSED = {
    "add-blend": "act.add_blend", "trial-paste": "act.paste", "trial-example": "act.example_trial",
    "trial-lesson": "bench.use",
}  # fmt: skip
"""The text of the button of other actions."""

TITLES = {name: f"{name}.title" for name in ("feed", "energy", "labour")}
TITLES |= {"happened": "season.title"}
"""What has no name of its own, by its path."""

Plan = namedtuple("Plan", "id title at kept")
"""A stored plan as listed, with its stored contents; None if unreadable."""

Past = namedtuple("Past", "number at what document")
"""The open plan before a change, as stored, and the change in words."""


class Keeping:
    """The stored plans. The caller sends `writes` to the page after each message."""

    def __init__(self):
        self.id = None
        """ID of the open plan; None while there is nothing worth storing."""
        self.plans = {}
        self.past = ()
        self.theirs = None
        """The open plan as stored by another tab, until the grower has chosen."""
        self.trouble = ""
        """"full" or "blocked" while nothing can be stored."""
        self.writes = {}
        """What the page should store: text by key, None to delete."""
        self._step = None
        self._moved = set()
        """IDs of plans whose version in this tab is kept under another ID."""
        self._last_year = None
        """Origin of next year's plan: ID, earlier states, its document, and the next one."""

    def take_in(self, kept):
        """Load what is stored: text by key. Returns the plan used last, or None."""
        for key, found in kept.items():
            if key.startswith("plan:"):
                self._list(key.removeprefix("plan:"), found)
        plan = self.plans.get(kept.get("current"))
        return plan if plan and plan.kept else None

    def open(self, plan, kept):
        """Open a plan; `kept` holds its earlier states."""
        self.id, self.theirs, self._step = plan.id, None, None
        self._moved.discard(plan.id)
        self.past = tuple(sorted(_past(plan.id, kept), key=lambda past: past.number))
        self.writes["current"] = plan.id

    def note(self, work, before, act, path=""):
        """Store the work if an action changed it; `before` is the document before it."""
        is_tick = act == "tick"
        if work.document is before and not is_tick:
            return
        if self.theirs is not None:
            self.keep_both(work)
        if act == "season-next":
            self._last_year = self.id, self.past, before, work.document
            self.start(work)
            return
        if self._last_year and work.document is self._last_year[2]:  # next year's is undone
            made_id = self.id
            self.id, self.past, _, made = self._last_year
            self.writes["current"], self._last_year = self.id, None
            if before is made:  # and unchanged
                self.forget(made_id)
        if self.id is None or is_tick:
            self.id = self.writes["current"] = self.id or _new_id()
        if work.document is not before:
            if act != "type" or self._step != (act, path):
                self._remember(before, _change_said(before, act, path))
            self._step = act, path
        self.keep(work)

    def keep(self, work):
        """Store the work as it is."""
        now = {"title": str(work.document["title"]), "at": time.time(), "document": work.document}
        if not work.is_current and work.answered is not None:
            now["answered"] = work.answered
        if work.errand.ticks:
            now["ticks"] = work.errand.ticks
        self._store(self.id, now)

    def _store(self, plan_id, kept):
        self.plans[plan_id] = Plan(plan_id, kept["title"], float(kept["at"]), kept)
        self.writes[f"plan:{plan_id}"] = json.dumps(kept, ensure_ascii=False)

    def start(self, work):
        """Store the work as a new plan."""
        self.id = self.writes["current"] = _new_id()
        self.past, self.theirs, self._step = (), None, None
        self.keep(work)

    def take_theirs(self, before):
        """The grower accepted another tab's version; `before` is what was here."""
        self.theirs, self._step = None, None
        self._remember(before, text("past.theirs"))

    def keep_both(self, work):
        """Store the work beside another tab's version, under a name that says so; returns it."""
        past = self.past
        self._moved.add(self.id)
        title = text("keep.own_title", title=str(work.document["title"]))
        work.retitle(title)
        self.start(work)
        for number, state in enumerate(past):
            self._put_past(state._replace(number=number))
        return title

    def elsewhere(self, work, told):
        """Another tab has stored or deleted something; returns a message to the grower, or ""."""
        if not told.key.startswith("plan:"):
            return ""
        plan_id = told.key.removeprefix("plan:")
        is_open = plan_id == self.id
        if told.text is None:
            self.plans.pop(plan_id, None)
            return later("keep.gone_elsewhere") if is_open else ""
        self._list(plan_id, told.text)
        if told.own is not None:
            title = self.keep_both(work) if is_open else self._keep_closed(plan_id, told.own)
            return title and later("keep.both_kept", title=title)
        if is_open:
            self.theirs = self.plans[plan_id] if self.plans[plan_id].kept else None
        return ""

    def _keep_closed(self, plan_id, found):
        """Store this tab's version of a plan that is no longer open; returns its new title."""
        if plan_id in self._moved:  # with all that was entered
            return ""
        kept = _plan("", found).kept
        title = text("keep.own_title", title=kept["title"])
        document = kept["document"] | {"title": title}
        self._store(_new_id(), kept | {"title": title, "document": document})
        return title

    def forget(self, plan_id):
        """Delete a plan."""
        self.plans.pop(plan_id, None)  # another tab may have deleted it
        self.writes[f"plan:{plan_id}"] = None
        for number in range(MOST_PAST):
            self.writes[f"past:{plan_id}:{number}"] = None

    def listed(self):
        """The plans, the most recently changed first."""
        return tuple(sorted(self.plans.values(), key=lambda plan: -plan.at))

    def _list(self, plan_id, found):
        try:
            self.plans[plan_id] = _plan(plan_id, found)
        except UNREADABLE:
            self.plans[plan_id] = Plan(plan_id, later("keep.unreadable"), 0.0, None)

    def _remember(self, document, what):
        number = self.past[-1].number + 1 if self.past else 0
        self._put_past(Past(number, time.time(), what, document))

    def _put_past(self, state):
        self.past = (*self.past, state)[-MOST_PAST:]
        key = f"past:{self.id}:{state.number % MOST_PAST}"
        self.writes[key] = json.dumps(state._asdict(), ensure_ascii=False)


def _new_id():
    return secrets.token_hex(6)


def _read(found):
    if len(found) > MOST_TEXT:
        raise ValueError("too long")
    return json.loads(found)


def _plan(plan_id, found):
    kept = _read(found)
    if not isinstance(kept["document"], dict):
        raise TypeError("no document")
    now = {key: upgraded(kept[key]) for key in ("document", "answered") if key in kept}
    return Plan(plan_id, str(kept["title"]), float(kept["at"]), kept | now)


def _past(plan_id, kept):
    for key, found in kept.items():
        if not key.startswith(f"past:{plan_id}:"):
            continue
        try:
            state = _read(found)
            document = upgraded(state["document"])
            yield Past(int(state["number"]), float(state["at"]), str(state["what"]), document)
        except UNREADABLE:
            continue  # one state less to go back to


def _change_said(before, act, path):
    """A change in words, as shown in the list of earlier states."""
    pressed = PRESSED.get(act)
    if act == "add":
        last = path.rpartition(".")[2]
        pressed = "act.begin_season" if path == "happened" else f"act.add_{ADDED.get(last)}"
    if pressed := pressed and text_or_none(pressed):
        return text("past.pressed", what=pressed)
    try:
        steps(path)
        where = fault_link(before, Fault(path, None, ""))["where"].strip(": ")
    except (ValueError, KeyError, IndexError, TypeError):
        where = ""
    if not where and path in TITLES:
        where = text(TITLES[path])
    is_unknown = act in ("type", "copy", "remove") and not where
    return (not is_unknown and text_or_none(f"past.{act}", what=where)) or text("past.other")
