"""The plans kept on this device: which there are, the earlier states of the one in hand, and what
happens when another tab changes it too.

A plan is a scenario document under a key of its own. This module decides what is kept; the page
(shell/keep.js) holds it, as text by key, in the browser's own storage:

    plan:ID      {"title", "at", "document", "answered", "ticks"}
    past:ID:N    {"number", "at", "what", "document"}: a state before a change, N from 0 to 19
    current      ID of the plan used last
    visit        the link opened last, until the reader has copied or left what it holds

`answered` is the last document without a fault, where that is not `document`. `at` is when. [s]
Documents in an earlier format are kept as they are and brought up to the present one when read.
"""

import json
import secrets
import time
from dataclasses import dataclass

from page.faults import fault_link
from pennyflat.scenario.checking import Fault
from pennyflat.scenario.earlier_formats import upgraded
from pennyflat.scenario.records import FORMAT
from reader.words import later, text, text_or_none
from work.entry import steps

MOST_PAST = 20
"""Earlier states kept of each plan. [count]"""

MOST_TEXT = 2_000_000
"""Longest kept text that is read. [characters]"""

UNREADABLE = (ValueError, KeyError, TypeError, OverflowError, RecursionError)
"""What comes of reading a kept text that is none of ours."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One kept plan, as it is listed."""

    id: str
    title: str
    at: float
    kept: dict | None
    """What is kept of it; None where that cannot be read."""


@dataclass(frozen=True, slots=True)
class Past:
    """The plan in hand as it was before a change."""

    number: int
    at: float
    what: str
    """The change, in words."""
    document: dict


class Keeping:
    """The kept plans. Whoever calls it hands `writes` to the page after each message."""

    def __init__(self):
        self.id = None
        """Of the plan in hand; None while there is nothing worth keeping."""
        self.plans = {}
        self.past = ()
        self.theirs = None
        """The plan in hand as another tab has kept it, until the grower has chosen."""
        self.trouble = ""
        """"full" or "blocked" while nothing can be kept."""
        self.writes = {}
        """What the page is to keep: text by key, None for what is to go."""
        self._step = None
        self._last_year = None
        """Where next year's plan came from: ID, earlier states, its document, and the next one."""

    def take_in(self, kept):
        """Take over what is kept: text by key. Gives the plan used last, or None."""
        for key, found in kept.items():
            if key.startswith("plan:"):
                self._list(key.removeprefix("plan:"), found)
        plan = self.plans.get(kept.get("current"))
        return plan if plan and plan.kept else None

    def open(self, plan, kept):
        """Make a plan the one in hand; `kept` holds its earlier states."""
        self.id, self.theirs, self._step = plan.id, None, None
        self.past = tuple(sorted(_past(plan.id, kept), key=lambda past: past.number))
        self.writes["current"] = plan.id

    def note(self, work, before, act, path=""):
        """Keep the work if an act has changed it; `before` is the document before that."""
        if act == "tick":
            self.id = self.id or _new_id()
            self.writes["current"] = self.id
            self.keep(work)
        if work.document is before:
            return
        if self.theirs is not None:
            self.keep_both(work)
        if act == "season-next":
            self._last_year = self.id, self.past, before, work.document
            self.start(work)
            return
        if self._last_year and work.document is self._last_year[2]:
            self._back_to_last_year(before)
        step = act, path
        if self.id is None:
            self.id = self.writes["current"] = _new_id()
        if step[0] != "type" or step != self._step:
            self._remember(before, _change_said(before, act, path))
        self._step = step
        self.keep(work)

    def _back_to_last_year(self, before):
        """Take last year's plan up again; next year's goes if nobody has changed it."""
        made_id = self.id
        self.id, self.past, _, made = self._last_year
        self.writes["current"], self._last_year = self.id, None
        if before is made:
            self.forget(made_id)

    def keep(self, work):
        """Keep the work as it is."""
        now = {"title": str(work.document["title"]), "at": time.time(), "document": work.document}
        if not work.is_current and work.answered is not None:
            now["answered"] = work.answered
        if work.errand.ticks:
            now["ticks"] = work.errand.ticks
        self.plans[self.id] = Plan(self.id, now["title"], now["at"], now)
        self.writes[f"plan:{self.id}"] = json.dumps(now, ensure_ascii=False)

    def start(self, work):
        """Keep the work as a plan of its own."""
        self.id = self.writes["current"] = _new_id()
        self.past, self.theirs, self._step = (), None, None
        self.keep(work)

    def take_theirs(self, before):
        """The grower has taken over what another tab has kept; `before` is what was here."""
        self.theirs, self._step = None, None
        self._remember(before, text("past.theirs"))

    def keep_both(self, work):
        """Keep the work beside what another tab made of its plan, under a name that says so."""
        past = self.past
        title = str(work.document["title"])
        work.document = work.document | {"title": text("keep.own_title", title=title)}
        self.start(work)
        for number, state in enumerate(past):
            self._put_past(Past(number, state.at, state.what, state.document))

    def elsewhere(self, work, key, found, *, lost):
        """
        Another tab has kept something, or has forgotten it.

        Parameters
        ----------
        work : state.Work
        key : str
        found : str or None
            The text that is kept now.
        lost : bool
            Whether it came before the page could keep what this tab has.

        Returns
        -------
        str
            What to tell the grower, "" if there is nothing to.
        """
        if not key.startswith("plan:"):
            return ""
        plan_id = key.removeprefix("plan:")
        if found is None:
            self.plans.pop(plan_id, None)
            return later("keep.gone_elsewhere") if plan_id == self.id else ""
        self._list(plan_id, found)
        if plan_id != self.id:
            return ""
        if lost:
            self.keep_both(work)
            return later("keep.both_kept", title=work.document["title"])
        plan = self.plans[plan_id]
        self.theirs = plan if plan.kept else None
        return ""

    def forget(self, plan_id):
        """Let a plan go."""
        del self.plans[plan_id]
        self.writes[f"plan:{plan_id}"] = None
        for number in range(MOST_PAST):
            self.writes[f"past:{plan_id}:{number}"] = None

    def listed(self):
        """The plans, the one changed last first."""
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
        kept = {"number": state.number, "at": state.at, "what": state.what}
        kept["document"] = state.document
        key = f"past:{self.id}:{state.number % MOST_PAST}"
        self.writes[key] = json.dumps(kept, ensure_ascii=False)


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
    now = {key: upgraded(kept[key], FORMAT) for key in ("document", "answered") if key in kept}
    return Plan(plan_id, str(kept["title"]), float(kept["at"]), kept | now)


def _past(plan_id, kept):
    for key, found in kept.items():
        if not key.startswith(f"past:{plan_id}:"):
            continue
        try:
            state = _read(found)
            document = upgraded(state["document"], FORMAT)
            yield Past(int(state["number"]), float(state["at"]), str(state["what"]), document)
        except UNREADABLE:
            continue  # one state less to go back to


def _change_said(before, act, path):
    """A change in words, as it stands in the list of earlier states."""
    if act in ("type", "add", "copy", "remove") and path:
        where = _place_said(before, path)
        if where:
            return text(f"past.{act}", what=where)
    return text_or_none(f"past.{act}") or text("past.other")


def _place_said(document, path):
    try:
        steps(path)
        return fault_link(document, Fault(path, None, ""))["where"].strip(": ")
    except (ValueError, KeyError, IndexError, TypeError):
        return ""
