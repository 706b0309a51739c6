"""The page's Python end: takes the page's messages and sends back what changed.

Importing this module builds the document: one component that carries messages and draws nothing,
and the figures. A figure is drawn into the element whose id is its name.
"""

import traceback

from panel.custom import JSComponent
from panel.io.state import state

import languages
from answer import said
from bench_export import save_trials
from charts import Charts
from desk_view import FILES
from fields import id_of
from sharing import Refused
from state import Work
from view import Page, render_frame
from words import of_scripts, text


class Surface(JSComponent):
    """The line to surface.js: a message from it is answered with the fragments that changed."""

    _esm = "export function render({ model }) { window.pennyflat.connect(model) }"

    def __init__(self, **params):
        super().__init__(**params)
        self._work, self._page = Work(), Page()
        self._frame_in = languages.ENGLISH  # the build has rendered it
        self.charts = Charts(self._work)

    def _handle_msg(self, message):
        """
        Take one message. "hello" asks for everything; "scheme" tells the colours; all else is the
        work's, see state.py. Every message is answered, in order, with its own number.
        """
        answer = {"seq": message.get("seq")}
        try:
            if message.get("do") in ("hello", "scheme"):
                self.charts.paint(dark=bool(message.get("dark")))
            self._work.handle(message)
            self.charts.update(self._work)
            if message.get("do") == "save":
                answer["file"] = self._file(message["text"])
            news = self._page.changed(self._work)
            whole = message.get("do") == "hello"
            answer["fragments"] = self._page.all(self._work) if whole else news
            if message.get("do") == "speak" or languages.spoken() != self._frame_in:
                self._frame_in = languages.spoken()
                frame = {"frame": render_frame(), "texts": of_scripts()}
                answer["language"] = {"code": languages.spoken()} | frame
            answer["focus"] = id_of(self._work.focus) if self._work.focus else ""
            answer["say"] = said(self._work)
            answer["more"] = self._work.has_more
            answer |= self._work.desk.told()
        except Exception:
            # Whatever went wrong, the page must not wait for ever; what was typed is still there.
            traceback.print_exc()
            answer["trouble"] = text("page.failed")
        self._send_msg(answer)

    def prepare(self):
        """Work out what the page will ask for first."""
        self._page.changed(self._work)

    def _file(self, what):
        """A file for the visitor to keep, by its kind: name, media type and text; or None."""
        from dates import save_calendar  # with a library that the start does without

        makers = {"calendar": save_calendar, "trials": save_trials} | FILES
        try:
            return makers[what](self._work)
        except Refused as refused:
            self._work.desk.refuse(refused)
            return None


surface = Surface(name="surface")
surface.servable()
for chart in surface.charts.figures:
    state.curdoc.add_root(chart)
