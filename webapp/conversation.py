"""What is said between the page and the work in hand: each message is answered, in order.

The page's messages are in state.py; surface.js sends them and takes the answers.
"""

import traceback

import languages
from answer import said
from bench_export import save_trials
from desk_view import FILES
from fields import id_of
from sharing import Refused
from state import Work
from view import Page, render_frame
from words import of_scripts, text

PATIENCE_S = 0.05
"""How long a message may wait for work that can be left off. Ours: less than anybody notices."""


OF_THE_PLAN = ("advice", "ask-", "bar", "bay-", "buying", "calendar", "errand-", "steps-", "table-",
               "tray", "turns", "verdicts")  # fmt: skip
"""What the names of fragments that follow the plan begin with."""


class Conversation:
    """One visitor's work, and what their page shows of it."""

    def __init__(self):
        self.work = Work(patience=PATIENCE_S)
        self._page = Page()
        self._wanted = None
        self._frame_in = languages.ENGLISH  # the build has rendered it
        self._held = None
        """Fragments that wait for the plan, while the page shows them as it kept them."""

    def answer(self, message):
        """
        The answer to one message: the fragments that changed, and what else the page is to do.

        "hello" asks for everything; all else is the work's. An answer has the number of its
        message. `waits` tells that the plan is behind. `more` is "later" where there is something
        to work out once nobody types, and "now" where that was left off.
        """
        answer = {"seq": message.get("seq")}
        try:
            self.work.desk.page = self._page
            self.work.handle(message)
            answer |= self._to_solve()
            if self.work.is_left_off:
                return {"more": "now"} | answer
            if message.get("do") == "save":
                answer["file"] = self._file(message["text"])
            news = self._page.changed(self.work, self.work.desk.tried)
            shown = self._page.shown if message.get("do") == "hello" else news
            answer["fragments"] = self._but_for_the_plan(shown, message)
            if message.get("do") == "speak" or languages.spoken() != self._frame_in:
                self._frame_in = languages.spoken()
                frame = {"frame": render_frame(), "texts": of_scripts()}
                answer["language"] = {"code": languages.spoken()} | frame
            answer["focus"] = id_of(self.work.focus) if self.work.focus else ""
            answer["say"] = said(self.work)
            answer["more"] = "later" if self.work.has_more else ""
            answer["waits"] = self.work.waits
            answer |= self.work.desk.told()
        except Exception:
            # Whatever went wrong, the page must not wait for ever; what was typed is still there.
            traceback.print_exc()
            answer["trouble"] = text("page.failed")
        return answer

    def _but_for_the_plan(self, fragments, message):
        """
        Fragments without those of a plan that the page shows as it kept them, until there is one.

        The page says that it does (`pictured`); it does so only for the very same entries. Whatever
        is then entered ends it.
        """
        act = message.get("do")
        if act == "hello":
            self._held = {} if message.get("pictured") and self.work.has_more else None
        if self._held is None:
            return fragments
        own = {name: html for name, html in fragments.items() if name.startswith(OF_THE_PLAN)}
        self._held |= own
        if act in ("hello", "more", "solved") and (self.work.has_more or self.work.solving):
            return {name: html for name, html in fragments.items() if name not in own}
        held, self._held = self._held, None
        return fragments | {name: html for name, html in held.items() if name in self._page.shown}

    def _to_solve(self):
        """`solve`, where the page's solver is to do something else than before, or nothing."""
        wanted = next((solving.to_solve for solving in self.work.solving), None)
        number = wanted and wanted["id"]
        if number == self._wanted:
            return {}
        self._wanted = number
        return {"solve": wanted}

    def prepare(self, solve):
        """Work out what the page will ask for first; `solve` answers programs."""
        told = self.answer({"do": "more"})
        while told.get("more") == "now" or told.get("solve"):
            message = {"do": "more"}
            if asked := told.get("solve"):
                message = {"do": "solved", "id": asked["id"]} | solve(asked["model"])
            told = self.answer(message)

    def _file(self, what):
        """A file for the visitor to keep, by its kind: name, media type and text; or None."""
        from dates import save_calendar  # with a library that the start does without

        makers = {"calendar": save_calendar, "trials": save_trials} | FILES
        try:
            return makers[what](self.work)
        except Refused as refused:
            self.work.desk.refuse(refused)
            return None
