"""The desk: storing plans, sending them, receiving others, and a club's orders in one.

`Desk` handles the messages that are not about the entries. `told` is what the page should do
besides showing fragments. Results of an action are shown at the top of the page although its
buttons are at the end, so the page scrolls them into view.
"""

import traceback

from pennyflat_display import places
from reader import languages
from reader.words import later, text
from share import sharing
from share.keeping import Keeping
from share.pooling import Pooling
from share.prices import Prices
from work.messages import Refused

UNASKED = ("hello", "elsewhere", "storage", "dismiss")
"""Messages without a waiting reader: their results may wait until they are noticed."""

BESIDE = ("print", "save", "elsewhere", "storage", "speak", "units")
"""Messages that leave the sheet for the printer unchanged."""


class Desk:
    """
    Everything on the desk besides the plan, which is a `Work`.

    `shown` makes a page from a work; if it raises anything, the work cannot be shown. `solve`
    solves a program here; None uses the page's solver.
    """

    def __init__(self, shown, solve=None):
        self._shown, self._solve = shown, solve
        self.keeping = Keeping()
        self.order = Pooling(solve)
        self.prices = Prices()
        self.notice = ""
        """A message to the reader."""
        self.offer = None
        """A scenario from outside, until it is stored, its prices are taken, or it is dismissed."""
        self.looking = None
        """The reader's own `Work` while another plan is viewed."""
        self.link = None
        """The last link made: (document, address, QR code or None)."""
        self.sheet = ""
        """What is laid out for the printer."""
        self.has_looked = False
        """Whether the reader chose to look at the example."""
        self.tried = None
        """A page with what the last message opened, or None."""
        self._told = {}
        self._browser = ()
        """The browser's locales, in order of preference."""

    def handle(self, work, message):
        """Handle a parsed message; returns whether it was for the desk."""
        handler = message.handler(self, self.order, self.prices)
        if handler is None:
            return False
        if message.do not in BESIDE:
            self.sheet = ""
        before = self.notice, self.offer
        self.tried = None
        try:
            handler(work, message)
        except Refused as refused:
            self.notice, before = refused.args[0], None  # shown again, even if it is the same
        except (KeyError, IndexError, TypeError, ValueError):
            if message.do == "save":
                raise  # the page says that there is no file
            return True
        said = self.notice, self.offer
        is_asked = message.do not in UNASKED and not getattr(message, "again", False)
        if any(said) and said != before and is_asked:
            self._told["look"] = True
        return True

    def after(self, work, before, act, path=""):
        """Record what changed the entries: the name of a message, or of the desk's own action."""
        if work.document is not before:
            self.sheet = ""
        if self.looking is None:
            self.keeping.note(work, before, act, path)

    def told(self):
        """What to do: `keep` text by key, `forget`, `unlink`, `print`, save a `file`, `look` at the
        message; "unasked" leaves the focus.

        `looking` says whether the page shows someone else's plan.
        """
        found, self._told = self._told | {"looking": self.looking is not None}, {}
        if self.keeping.writes:
            found["keep"], self.keeping.writes = self.keeping.writes, {}
        return found

    # The page starts

    def on_hello(self, work, message):
        chosen, is_example = message.language, work.is_example
        self._browser = tuple(map(str, message.languages or ()))
        is_known = chosen in languages.LANGUAGES
        self._turn_to(chosen if is_known else languages.best_of(self._browser))
        places.measure_in(message.units or places.usual_units(self._browser))
        places.Reader.currency = places.usual_currency(self._browser)
        kept = message.kept or {}
        self.keeping.trouble = message.storage
        plan = self.keeping.take_in(kept)
        if plan:
            try:
                self._open(work, plan, kept)
            except Refused as refused:
                self.notice = refused.args[0]
        self._name_anew(work, is_example)

    def on_speak(self, work, message):
        is_example = work.is_example and self.looking is None
        self._turn_to(message.text)
        self._name_anew(work, is_example)
        if languages.spoken() == message.text:
            self.keeping.writes["language"] = languages.spoken()

    def _turn_to(self, language):
        try:
            languages.speak(language)
        except OSError:  # the page cannot fetch it
            self.notice = later("language.missing")
        places.settle(places.chosen(languages.spoken(), self._browser))

    def _name_anew(self, work, was_example):
        """Translate the example's names, as long as nothing in it is the reader's."""
        if was_example and not self.has_own and not work.is_example:
            work.open(languages.example())

    def on_units(self, work, message):
        places.measure_in(message.text)
        self.keeping.writes["units"] = places.units()

    def _open(self, work, plan, kept):
        self._show(work, plan)
        self.keeping.open(plan, kept)

    def _show(self, work, plan):
        more = plan.kept.get("answered"), plan.kept.get("ticks")
        self._try(work, plan.title, plan.kept["document"], *more)
        self.looking = None

    def _try(self, work, title, document, answered=None, ticks=None):
        """Open a document if the page can show it, whatever happened to it in storage."""
        try:
            tried = work.on(document, answered, ticks)
            self.tried = self._shown(tried)
        except Exception:
            traceback.print_exc()  # it may be this page's own fault
            raise Refused(later("keep.cannot_show", title=title)) from None
        work.become(tried)

    # Stored plans

    def on_plan(self, work, message):
        kept = message.kept or {}
        self.keeping.take_in(kept)
        plan = self.keeping.plans.get(message.text)
        if plan is None or plan.kept is None:
            raise Refused(later("keep.cannot_read"))
        self._open(work, plan, kept)
        self.notice = ""

    def on_plan_copy(self, work, message):
        self.looking = None
        self._let_go()
        title = text("keep.copy_title", title=work.document["title"])
        work.retitle(title)
        self.keeping.start(work)
        self.notice = later("keep.copied", title=title)

    def on_plan_forget(self, work, message):
        plan = self.keeping.plans[message.text]
        self.keeping.forget(plan.id)
        self.notice = later("keep.forgotten", title=plan.title)
        if plan.id == self.keeping.id:
            self.keeping.id = None
            self.notice = later("notice.two", one=self.notice, other=later("keep.still_open"))

    def on_forget_all(self, work, message):
        trouble, browser = self.keeping.trouble, self._browser
        self.__init__(self._shown, self._solve)
        self.keeping.trouble, self._browser = trouble, browser
        self._told["forget"] = True
        work.open(languages.example())
        self.notice = later("keep.all_forgotten")

    def on_back(self, work, message):
        before, states = work.document, {past.number: past for past in self.keeping.past}
        self._try(work, later("keep.state"), states[message.text].document)
        self.after(work, before, "restored")

    def on_elsewhere(self, work, message):
        had_theirs = self.keeping.theirs is not None
        said = self.keeping.elsewhere(self.looking or work, message)
        self.notice = said or self.notice
        if said or (self.keeping.theirs is not None and not had_theirs):
            self._told["look"] = "unasked"

    def on_theirs(self, work, message):
        if self.keeping.theirs is not None:  # else pressed twice
            before = (self.looking or work).document
            self._show(work, self.keeping.theirs)
            self.keeping.take_theirs(before)

    def on_both(self, work, message):
        if self.keeping.theirs is not None:
            title = self.keeping.keep_both(self.looking or work)
            self.notice = later("keep.both_kept", title=title)

    def on_storage(self, work, message):
        self.keeping.trouble = message.text

    def on_dismiss(self, work, message):
        self.notice = ""

    # From outside

    def on_link(self, work, message):
        self._told["unlink"] = True
        if message.again:
            self._let_go()  # if it cannot be read any more, it is not tried again
        self._offer(work, sharing.from_link(message.text))
        self.keeping.writes["visit"] = message.text
        self._told["look"] = not message.again
        if work.is_example and not self.has_own:
            self._look(work)

    def on_file(self, work, message):
        self._offer(work, sharing.from_file(message.name, message.text))

    def _offer(self, work, offer):
        """Offer what was read, in the place of what was offered or viewed before."""
        self._back_to_own(work)
        self._let_go()
        self.offer, self.notice = offer, ""
        self._told["look"] = True

    def _let_go(self):
        """Drop the contents of a link or file; until then a link is stored beside the plan."""
        self.offer = self.keeping.writes["visit"] = None

    @property
    def has_own(self):
        """Whether the open plan, or the one set aside while viewing another, is the reader's."""
        return self.keeping.id is not None

    def _look(self, work):
        own = work.on(work.document, work.answered, work.errand.ticks)
        self._try(work, self.offer.document["title"], self.offer.document)
        self.looking = self.looking or own

    def on_take(self, work, message):
        offer = self.offer
        if offer is None:
            return
        if message.text == "look":
            self._look(work)
            return
        self._let_go()
        if message.text == "copy":
            self.looking = None
            work.open(offer.document)
            self.keeping.start(work)
            self.notice = later("keep.copied", title=offer.document["title"])
        elif message.text == "merge":
            self._merge(work, sharing.merged(work.document, offer.document), "merge")

    def _merge(self, work, merged, act):
        before = work.document
        work.replace(merged.document, "prices")
        self.after(work, before, act)
        self.notice = later("merge.done", changed=merged.changed, added=merged.added)
        if merged.unknown:
            unknown = later("merge.unknown", names=", ".join(merged.unknown))
            self.notice = later("notice.two", one=self.notice, other=unknown)

    def on_own(self, work, message):
        self._back_to_own(work)
        if not self.has_own:
            self._let_go()  # otherwise one tap would lead back there

    def _back_to_own(self, work):
        if own := self.looking:
            work.become(work.on(own.document, own.answered, own.errand.ticks))
            self.looking = None

    # To others

    def on_share(self, work, message):
        found = sharing.address(sharing.complete(work), message.page[:2000])
        self.link = work.answered, found, sharing.qr_code(sharing.scanned(found))

    def on_save(self, work, message):
        self._told["file"] = sharing.FILES[message.text](work, self)

    def on_print(self, work, message):
        self.sheet = ""
        if message.text == "handout":
            answered = sharing.complete(work)
            work.catch_up()
            if self.link is None or self.link[0] is not answered:
                self.on_share(work, message)
        self.sheet, self._told["print"] = message.text, True

    def on_look_around(self, work, message):
        self.has_looked = True

    # With others

    def on_order_own(self, work, message):
        self.order.add(sharing.complete(work))

    def on_prices_take(self, work, message):
        if self.prices.list is not None:  # else pressed twice
            self._merge(work, self.prices.taken(work.document), "prices")
            self.prices = Prices()

    def on_prices_leave(self, work, message):
        self.prices = Prices()
