"""The work: the scenario being edited, what is wrong with it, and its last good answer.

`Work` handles the messages about the entries, and knows nothing of the page.
"""

from functools import cache
from math import inf

import param

from pennyflat.comparing.report import compared, rows_of
from pennyflat.comparing.season import season_form
from pennyflat.comparing.till import curves
from pennyflat.scenario import document as scenario
from pennyflat.scenario.checking import Fault
from pennyflat.trade.label import read_size
from pennyflat_display import places
from pennyflat_display.money import currency_of
from reader import languages
from reader.languages import example
from reader.words import later
from work import bench, edits, fresh, messages, picking
from work.entry import FIELDS, path_of, place, read_text, steps, stocked
from work.errand import Errand
from work.shelf import measure_of, package_at

PLANNED_AT_ONCE = 24
"""Most crops times mixes for which a plan comes with the answer to an edit. Ours: too fast to
notice; it is the start of the search, see `pennyflat.buying.plan`. [count]"""

MOST_REMOVED = 50
"""Most removals that can be undone."""


@cache
def _example_read(_language):
    return scenario.read(example())


class Work(param.Parameterized):
    """The scenario being edited and its last good answer."""

    document = param.Dict(doc="The scenario as typed; see entry.py and edits.py.")
    faults = param.List(doc="Every `Fault` of the document as it is now.")
    answered = param.Dict(None, allow_None=True, doc="The last document that had no fault.")
    report = param.Dict(None, allow_None=True, doc="The report on `answered`.")
    shown = param.Integer(0, doc="Row of the sowing whose answer is shown in detail.")
    removed = param.List(doc="What can be put back, last removal last: (what, path, value).")
    focus = param.String("", doc="Path of the field or row that the last message leads to.")
    asked = param.Dict({}, doc="What was looked up in the tables, by field; see grow/view.py.")
    opened = param.Parameter(frozenset(), doc="Cards of the almanac that were opened, by name.")
    patience = param.Number(inf, doc="After so long work is left off, to go on when asked. [s]")
    solve = param.Callable(None, doc="What solves a plan here; None where the page does.")
    is_left_off = param.Boolean(False, doc="Whether that is how the last message ended.")

    def __init__(self, **params):
        super().__init__(**{"document": example()} | params)
        self.errand, self.bench = Errand(solve=self.solve), bench.Bench()
        self.scenario = None
        """The scenario that `answered` stands for."""
        self._curves = {}
        self._count()

    @property
    def currency(self):
        """How to write numbers and money now."""
        return currency_of(self.document.get("currency"))

    @property
    def answer_currency(self):
        """How to write the numbers and money of the answer."""
        return currency_of(self.answered["currency"])

    @property
    def is_current(self):
        """Whether the answer is for the current document."""
        return not self.faults

    @property
    def is_example(self):
        """Whether the example is unchanged, or means the same again."""
        return self.is_current and self.scenario == _example_read(languages.spoken())

    @property
    def more(self):
        """When to go on: "later", "rest" if only what would change the plan is left, or ""."""
        if self.report is None:
            return ""
        left = self.errand.left(self.scenario)
        if left == "plan" or self.curves() is None or self.errand.questions_behind(self):
            return "later"
        return "rest" if left else ""

    def planned(self):
        """The plan's medium for each sowing; None while there is no plan for these."""
        if self.report is None or not self.errand.is_for(self.scenario):
            return None
        return tuple(row["medium"] for row in self.errand.bill["plan"])

    @property
    def waits(self):
        """Whether the plan for these entries is still to come."""
        return self.report is not None and self.is_current and self.planned() is None

    def curves(self):
        """The `Curves` of the sowing shown; None until they are worked out."""
        return self._curves.get((self.row_shown, self.planned()))

    @property
    def row_shown(self):
        """Number of the sowing shown in detail, among those answered; None before any answer."""
        return self.report and min(self.shown, len(self.report["verdicts"]) - 1)

    def compared(self, row):
        """The report's rows for the sowing in that row, one for each medium."""
        return rows_of(self.report, row)

    @property
    def is_hurried(self):
        """Whether the reader is waiting: the plan comes before its curves and its proof."""
        return self.patience < inf

    def handle(self, message):
        """
        Handle a message, a plain dict or parsed; returns whether it is about the entries.

        One that does not fit the document is ignored.
        """
        read = messages.read(message) if isinstance(message, dict) else message
        handler = read.handler(self, self.errand)
        if handler is None:
            return False
        self.focus, self.is_left_off = "", False
        try:
            handler(read)
        except (KeyError, IndexError, TypeError, ValueError):
            return True
        self.shown = max(0, min(self.shown, len(self.document["sowings"]) - 1))
        is_due = self.is_hurried and self.waits and not getattr(read, "unfinished", False)
        if is_due and len(self.report["comparisons"]) <= PLANNED_AT_ONCE:
            self.catch_up(self.patience)
        return True

    @classmethod
    def on(cls, document, answered=None, ticks=None):
        """Work on a document; `answered`, complete entries, provides the answer until it is."""
        made = cls(document=document if answered is None else answered)
        if made.document != document:
            made._change(document)
        if isinstance(ticks, dict):
            made.errand.ticks = ticks
        return made

    def open(self, document):
        """Open another document."""
        self.become(self.on(document))

    def become(self, other):
        """Take over from another work that was just started."""
        same = ("document", "faults", "answered", "report", "shown", "removed")
        self.param.update({name: getattr(other, name) for name in same})
        self.errand, self.bench = other.errand, other.bench
        self.errand.solve = self.solve
        self.scenario, self._curves = other.scenario, other._curves

    def replace(self, document, what, path=(), before=None):
        """Change the document; one undo puts back what was at the path before, by default all."""
        before = self.document if path == () else before
        self.removed = [*self.removed, (what, path, before)][-MOST_REMOVED:]
        self._change(document)

    def retitle(self, title):
        """Give the document another title."""
        self._change(self.document | {"title": title})

    def _change(self, document, weighed=()):
        self.document, self.errand.weighed = document, weighed
        self._count()

    def catch_up(self, patience_s=inf):
        """Bring the shopping list up to date; returns whether it is, within the given time."""
        turning = not self.is_hurried or self.more == "rest"
        return self.errand.catch_up(self.scenario, patience_s, turning=turning)

    def _count(self):
        document = edits.as_scenario(self.document)
        waiting = list(edits.waiting_names(self.document))
        try:
            read = scenario.read(document)
        except scenario.ScenarioError as error:
            named = {fault.path for fault in waiting}
            self.faults = [*waiting, *(one for one in error.faults if one.path not in named)]
            return
        blank = [table for table in ("sowings", "media") if not document[table]]
        self.faults = [*waiting, *(Fault(table, [], later(f"missing.{table}")) for table in blank)]
        if not self.faults:
            self.report, self.answered = compared(read), document
            self.scenario, self._curves = read, {}

    # Typing

    def on_type(self, message):
        parts, document = steps(message.path), self.document
        field = FIELDS[place(parts)]
        if parts[0] in ("lookup", "bench"):
            self._type_beside(parts, read_text(message.text, field, self.currency))
            return
        edits.check_place(document, parts)
        if field.kind == "name":
            document = edits.renamed(document, parts, message.text, done=message.done)
        else:
            document = self._with_typed(parts, message.text, field)
        if parts[0] == "sowings":
            self.shown = parts[1]
        weighed = package_at(parts) or self.errand.weighed
        self._change(picking.followed(self.document, document, parts, done=message.done), weighed)

    def _with_typed(self, parts, typed, field):
        """The document with what was typed; a size may include its unit, as on the label."""
        if field.quantity == "stock":
            owner = edits.at(self.document, parts[:-1])
            field = stocked(field, measure_of(self.document, parts[0], owner.get("name")))
        if parts[-2:-1] and parts[-1] == "size":
            found = read_size(typed, decimal_mark=self.currency.place.decimal)
            if found is not None and found.unit:
                is_liquid = parts[0] == "feed" and found.unit == "qt_dry"
                unit = "qt_liq" if is_liquid else found.unit
                document = edits.with_value(self.document, (*parts[:-1], "unit"), unit)
                return edits.with_value(document, parts, found.number)
        return edits.with_value(self.document, parts, read_text(typed, field, self.currency))

    def _type_beside(self, parts, value):
        """Something that is looked up in the tables, or typed at the head of the trial bench."""
        if parts[1] != "count":
            owner = self if parts[0] == "lookup" else self.bench
            owner.asked = owner.asked | {parts[1]: value}
            return
        day = self.bench.day_of(edits.at(self.document, ("trials", parts[2]), {}))
        if day is not None:
            self._change(bench.counted(self.document, parts[2], day, value))

    # Rows

    def on_add(self, message):
        owner = steps(message.path)
        if message.path == "happened":
            self._begin_season()
        elif message.path in fresh.OBJECTS:
            self.focus = message.path
            self._change(
                edits.with_value(self.document, owner, fresh.made(self.document, message.path))
            )
        else:
            may_be_missing = owner[-1] in edits.MAY_BE_MISSING
            rows = edits.at(self.document, owner, [] if may_be_missing else None)
            row = edits.new_row(self.document, owner)
            self._insert(self.document, (*owner, len(rows)), row)

    def _insert(self, document, parts, row):
        self.focus = path_of(parts)
        self._change(edits.with_row(document, parts, row))

    def on_add_blend(self, message):
        document = self.document
        if not document["ingredients"]:
            row = edits.new_row(document, ("ingredients",))
            document = edits.with_row(document, ("ingredients", 0), row)
        self._insert(document, ("media", len(document["media"])), fresh.blend(document))

    def on_copy(self, message):
        *owner, number = steps(message.path)
        row = edits.copy_of(self.document, (*owner, number))
        self._insert(self.document, (*owner, number + 1), row)

    def on_remove(self, message):
        parts, document = steps(message.path), self.document
        value, is_feed = edits.at(document, parts), message.path == "feed"
        is_removable = isinstance(parts[-1], int) or message.path in fresh.OBJECTS
        if not is_removable or (value is None and not is_feed):
            return  # required rows stay, whatever a stored or forged message says
        document = document | {"feed": None} if is_feed else edits.without(document, parts)
        if value is None:
            self._change(document)
        else:
            self.replace(document, "row", parts, value)

    def on_undo(self, message):
        *before, (what, parts, value) = self.removed
        self.removed = before
        put = edits.with_row if what == "row" and isinstance(parts[-1], int) else edits.with_value
        if what == "lesson":
            row = edits.at(self.document, parts) | value
            value = {key: own for key, own in row.items() if own is not None or key not in value}
        elif parts:
            self.focus = path_of(parts)
        self._change(put(self.document, parts, value))

    def on_forget(self, message):
        self.removed = []

    # Other documents

    def on_reset(self, message):
        self.shown = 0
        self._start(example())

    def on_empty(self, message):
        usual = places.Reader.currency if self.is_example else None
        document = fresh.empty_document(usual or self.document["currency"])
        self.report = self.answered = None
        self.errand, self.bench = Errand(solve=self.solve), bench.Bench()
        self.shown, self.focus = 0, "sowings[0]"
        self._start(document)

    def _start(self, document):
        """Start from a document; one undo brings back what was entered, if anything was."""
        if self.is_example:
            self._change(document)
        else:
            self.replace(document, "all")

    def _begin_season(self):
        if self.is_current and not self.document.get("happened"):
            self.catch_up()
            self.focus = "happened.sowings[0]"
            self._change(self.document | {"happened": season_form(self.scenario, self.errand.plan)})

    def on_season_next(self, message):
        if self.is_current:
            self.replace(fresh.next_season(self.scenario), "season")
            self.errand.ticks = {}
            bagged = (i for i, row in enumerate(self.document["media"]) if row.get("packages"))
            if (first := next(bagged, None)) is not None:
                self.focus = path_of(("media", first, "packages", 0, "price"))

    # The trial bench

    def on_trial_show(self, message):
        self.bench.show(None if self.report is None else self.scenario)

    def on_trial_paste(self, message):
        if pots := self.bench.paste(self.document):
            self._add_pots(pots)

    def on_trial_example(self, message):
        self._add_pots(bench.examples(self.document))

    def _add_pots(self, pots):
        before = self.document.get("trials") or []
        document = self.document | {"trials": [*before, *pots]}
        self.replace(document, "trials", ("trials",), before)

    def on_trial_lesson(self, message):
        place = ("media", edits.names(self.document, "media").index(message.medium))
        row = edits.at(self.document, place)
        after = self.bench.applied(row, message)
        before = {key: row.get(key) for key in after if after[key] != row.get(key)}
        self.replace(edits.with_value(self.document, place, after), "lesson", place, before)

    # What is shown, and the plan

    def on_open(self, message):
        self.opened = self.opened | {message.text}

    def on_show(self, message):
        self.shown = message.row

    def on_more(self, message):
        if self.report is None:
            return
        shows_first = self.waits and self.is_hurried
        before = self.errand.plan if self.is_hurried else None
        done = self.catch_up(0 if shows_first else self.patience)
        self.is_left_off = not (done or shows_first)
        is_just_proven = before and not before.proven and self.errand.plan.proven
        if shows_first or not done or is_just_proven:
            return
        row, planned = shown = self.row_shown, self.planned()
        if shown not in self._curves:
            self._curves[shown] = curves(self.scenario, self.report, row, planned[row])
        self.errand.answer(self)

    def on_solved(self, message):
        if self.errand.solving is not None:
            self.errand.solving.solved(message)
        self.on_more(message)

    def on_ask(self, message):
        self.errand.ask(message)
        if self.report is not None and self.errand.is_for(self.scenario):
            self.errand.answer(self)
