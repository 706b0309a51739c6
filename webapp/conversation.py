"""The conversation between the page and the work: each message is answered, in order.

work/messages.py defines the messages; surface.js sends them and receives the answers.
"""

import re
import traceback

from buy.advice import said
from page.fields import id_of
from page.worth import worth_said
from reader import languages
from reader.words import of_scripts, text
from share.desk import Desk
from view import Page, render_frame
from work import messages
from work.state import Work

PATIENCE_S = 0.05
"""How long a message may wait for work that can be interrupted. Ours: too short to notice."""

OF_THE_PLAN = ("advice", "ask-", "bar", "bay-", "buying", "calendar", "errand-", "steps-", "table-",
               "tray", "turns", "verdicts")  # fmt: skip
"""First parts of the names of fragments that depend on the plan."""

GOING_ON = ("more", "solved")
"""Messages that continue what was begun."""

REPLAYED = ("type", "add", "add-blend", "copy", "remove", "undo", "reset", "empty")
"""Messages replayed if the page was closed before they were answered."""


class Conversation:
    """One visitor's work and desk, and what their page shows of both."""

    def __init__(self, work=None, solve=None):
        self.work = work or Work(patience=PATIENCE_S, solve=solve)
        self.desk = Desk(self._page_of, solve)
        self._page = Page(self.desk)
        self._wanted = None
        self._frame_in = languages.ENGLISH  # rendered by the build
        self._held = None
        """Fragments held back until there is a plan, while the page shows its stored ones."""

    def handle(self, told):
        """Handle a message, given as a plain dict; returns the message."""
        message = messages.read(told)
        before = self.work.document
        self.work.is_left_off = False  # interrupted by this message, not by the one before it
        if self.desk.handle(self.work, message):
            if message.do == "hello":
                self._catch_up_with(message)
        elif self.work.handle(message):
            self.desk.after(self.work, before, message.do, getattr(message, "path", ""))
        if message.do in GOING_ON:
            self.desk.order.go_on(message)
        return message

    def _catch_up_with(self, hello):
        """Handle what was typed before the page was closed, and the link that opened it."""
        for missed in hello.pending or ():
            if isinstance(missed, dict) and missed.get("do") in REPLAYED:
                path = re.sub(r"^plantings\b", "sowings", str(missed.get("path", "")))
                self.handle(missed | {"path": path})
        if link := hello.link or hello.visit:
            self.handle({"do": "link", "text": link, "again": not hello.link})

    def _page_of(self, work):
        page = Page(self.desk)
        page.changed(work, self._page)
        return page

    def answer(self, told):
        """
        The answer to one message: the changed fragments, and what else the page should do.

        "hello" asks for everything. `seq` is the message's number, `fragments` the inner HTML of
        elements by id, containers before their contents, `language` all else that changes with it,
        `file` one to save, and `solve` is for the page's solver. `waits` means that the plan is
        behind. `more` is "later" if something can be worked out once typing stops, "rest" if that
        can wait, and "now" if it was interrupted.
        """
        answer = {"seq": told.get("seq")}
        try:
            message = self.handle(told)
            answer |= self._to_solve()
            if self.work.is_left_off:
                return {"more": "now"} | answer
            news = self._page.changed(self.work, self.desk.tried)
            shown = dict(self._page.shown) if message.do == "hello" else news
            answer["fragments"] = self._but_for_the_plan(shown, message)
            if message.do == "speak" or languages.spoken() != self._frame_in:
                self._frame_in = languages.spoken()
                frame = {"frame": render_frame(), "texts": of_scripts()}
                answer["language"] = {"code": self._frame_in} | frame
            answer |= {
                "focus": id_of(self.work.focus) if self.work.focus else "",
                "say": " ".join(filter(None, (said(self.work), worth_said(self.work)))),
                "more": self.work.more,
                "waits": self.work.waits,
            }
            answer |= self.desk.told()
        except Exception:
            # Whatever went wrong, the page must not wait forever; the typed input is still there.
            traceback.print_exc()
            answer["trouble"] = text("page.failed")
        return answer

    def _but_for_the_plan(self, fragments, message):
        """
        Fragments except those of a plan that the page shows from storage, until there is a plan.

        The page says so (`pictured`), and only for exactly the same entries. Any new entry ends it.
        """
        if message.do == "hello":
            self._held = {} if message.pictured and self.work.more else None
        if self._held is None:
            return fragments
        own = {name: html for name, html in fragments.items() if name.startswith(OF_THE_PLAN)}
        self._held |= own
        if message.do in ("hello", *GOING_ON) and (self.work.more or self._solving):
            return {name: html for name, html in fragments.items() if name not in own}
        held, self._held = self._held, None
        return fragments | {name: html for name, html in held.items() if name in self._page.shown}

    def _to_solve(self):
        """`solve`, if the page's solver should change what it is doing, or nothing."""
        wanted = self._solving
        before, self._wanted = self._wanted, wanted and wanted["id"]
        return {} if self._wanted == before else {"solve": wanted}

    @property
    def _solving(self):
        """The first program that waits for the page's solver, or None."""
        own = None if self.work.waits else self.work.errand.solving  # not for earlier entries
        found = filter(None, (own, self.desk.order.solving))
        return next((one.to_solve for one in found if one.to_solve), None)

    def prepare(self, solve):
        """Work out what the page will ask for first; `solve` answers programs."""
        told = self.answer({"do": "more"})
        while told.get("more") or told.get("solve"):
            message = {"do": "more"}
            if asked := told.get("solve"):
                message = {"do": "solved", "id": asked["id"]} | solve(asked["model"])
            told = self.answer(message)
