"""The desk: keeping plans, sending them away, taking others in, and a club's orders in one.

`Desk` takes the messages that are not about the entries themselves:

    hello       kept, pending, link, storage   the page starts: what it keeps, and its address;
                language, languages, units     those chosen here, and the browser's locales
    speak       text           another language, by its code
    units       text           "metric" or "US"
    plan        text, kept     open the kept plan of that ID
    plan-copy, plan-forget     keep a copy of the plan in hand; let the one with ID `text` go
    forget-all                 let everything go and start from the example
    back        text           go back to the earlier state of that number
    elsewhere   key, text, lost   another tab has kept something
    theirs, both               take over what another tab has kept, or keep both
    storage     text           "full" or "blocked": nothing can be kept; "" once it can again
    link        text           a link was opened or pasted
    file        name, text     a file was opened
    take        text           what to do with it: "look", "copy", "merge" or "leave"
    own                        back from looking to the own plan
    share       page           make a link to the page at this address
    order-…                    see pooling.py
    prices      text           read a price list; prices-take, prices-leave
    print       text           make a sheet ready for the printer: "handout" or "order"
    dismiss                    the notice was read

`told` is what the page is to do besides showing fragments. What an act leads to is said at the top
of the page, while the buttons are at its end: the page brings it into view.
"""

import re

import languages
import places
import sharing
from keeping import Keeping
from pennyflat.scenario.demo import DEMO
from pooling import Pooling
from prices import Prices
from sharing import Refused
from words import later, text

UNASKED = ("hello", "elsewhere", "storage", "dismiss")
"""Messages that nobody waits for an answer to: what they say may wait until it is seen."""

REPLAYED = ("type", "add", "copy", "remove", "undo", "reset", "empty")
"""Messages that are made up for when the page was closed before they were answered."""


class Desk:
    """What is on it besides the plan in hand, which is a `Work`."""

    def __init__(self, solve=None):
        self.keeping = Keeping()
        self.order = Pooling(solve)
        self.prices = Prices()
        self.notice = ""
        """A sentence to be read."""
        self.offer = None
        """A scenario from outside, waiting for a choice."""
        self.looking = None
        """The plan in hand, put aside while another is looked at: (document, answered)."""
        self.link = None
        """The link made last: (document, address, QR code or None)."""
        self.sheet = ""
        """What is laid out for the printer."""
        self.page = None
        """What the visitor sees; the conversation says it before each message."""
        self.tried = None
        """A page that shows what the last message opened, or None."""
        self._told = {}
        self._browser = ()
        """The locales of the browser, the dearest first."""

    def handle(self, work, message):
        """Take one message; whether it was for the desk."""
        act = str(message.get("do")).replace("-", "_")
        take = getattr(self, f"_do_{act}", None)
        if take is None:
            return False
        if act not in ("print", "elsewhere", "storage", "speak", "units"):
            self.sheet = ""
        before = self.notice, self.offer
        self.tried = None
        try:
            take(work, message)
        except Refused as refused:
            self.notice = refused.args[0]
        said = self.notice, self.offer
        if act not in UNASKED and any(said) and said != before:
            self._told["look"] = True
        return True

    def refuse(self, refused):
        """Say why something cannot be had, where it is seen at once."""
        self.notice = refused.args[0]
        self._told["look"] = True

    def after(self, work, before, message):
        """Note what a message about the entries has changed."""
        if work.document is not before:
            self.sheet = ""
        if self.looking is None:
            self.keeping.note(work, before, message)

    def told(self):
        """What to do: `keep` text by key, `forget`, `unlink`, `print`, `look` at what is said."""
        found, self._told = self._told, {}
        if self.keeping.writes:
            found["keep"], self.keeping.writes = self.keeping.writes, {}
        return found

    # The page starts

    def _do_hello(self, work, message):
        chosen = message.get("language")
        self._browser = tuple(map(str, message.get("languages") or ()))
        known = chosen in languages.LANGUAGES
        self._speak(chosen if known else languages.best_of(self._browser))
        places.measure_in(message.get("units") or places.usual_units(self._browser))
        kept = message.get("kept") or {}
        self.keeping.trouble = message.get("storage") or ""
        plan = self.keeping.take_in(kept)
        if plan:
            self.handle(work, {"do": "plan", "text": plan.id, "kept": kept})
        for missed in message.get("pending") or ():
            if missed.get("do") in REPLAYED:
                path = re.sub(r"^plantings\b", "sowings", str(missed.get("path", "")))
                work.handle(missed | {"path": path})
        if message.get("link"):
            self.handle(work, {"do": "link", "text": message["link"]})

    def _do_speak(self, work, message):
        self._speak(message["text"])
        if languages.spoken() == message["text"]:
            self.keeping.writes["language"] = languages.spoken()

    def _speak(self, language):
        try:
            languages.speak(language)
        except OSError:  # the page cannot fetch it
            self.notice = later("language.missing")
        places.settle(places.chosen(languages.spoken(), self._browser))

    def _do_units(self, work, message):
        places.measure_in(message["text"])
        self.keeping.writes["units"] = places.units()

    def _open(self, work, plan, kept):
        self._show(work, plan)
        self.keeping.open(plan, kept)
        self.looking = None

    def _show(self, work, plan):
        document, answered = plan.kept["document"], plan.kept.get("answered")
        self._try(work, document, answered, title=plan.title, ticks=plan.kept.get("ticks"))

    def _try(self, work, document, answered=None, *, title, ticks=None):
        """Open a document if the page can show it, whatever has become of it while it was kept."""
        from view import Page  # which shows the desk as well

        try:
            tried, page = work.on(document, answered), Page()
            page.changed(tried, self.page)
        except Exception:
            raise Refused(later("keep.cannot_show", title=title)) from None
        work.become(tried, ticks=ticks)
        self.tried = page

    # Kept plans

    def _do_plan(self, work, message):
        kept = message.get("kept") or {}
        self.keeping.take_in(kept)
        plan = self.keeping.plans.get(message["text"])
        if plan is None or plan.kept is None:
            raise Refused(later("keep.cannot_read"))
        self._open(work, plan, kept)
        self.notice = ""

    def _do_plan_copy(self, work, message):
        self.looking = None
        title = text("keep.copy_title", title=work.document["title"])
        work.document = work.document | {"title": title}
        self.keeping.start(work)
        self.notice = later("keep.copied", title=title)

    def _do_plan_forget(self, work, message):
        plan = self.keeping.plans[message["text"]]
        self.keeping.forget(plan.id)
        self.notice = later("keep.forgotten", title=plan.title)
        if plan.id == self.keeping.id:
            self.keeping.id = None
            self.notice = later("notice.two", one=self.notice, other=later("keep.still_open"))

    def _do_forget_all(self, work, message):
        trouble, browser = self.keeping.trouble, self._browser
        self.__init__()
        self.keeping.trouble, self._browser = trouble, browser
        self._told["forget"] = True
        work.open(DEMO)
        self.notice = later("keep.all_forgotten")

    def _do_back(self, work, message):
        number = int(message["text"])
        state = {past.number: past for past in self.keeping.past}[number]
        before = work.document
        self._try(work, state.document, title=later("keep.state"))
        self.after(work, before, {"do": "restored"})

    def _do_elsewhere(self, work, message):
        self.notice = (
            self.keeping.elsewhere(
                work, message["key"], message["text"], lost=bool(message.get("lost"))
            )
            or self.notice
        )

    def _do_theirs(self, work, message):
        plan, before = self.keeping.theirs, work.document
        self._show(work, plan)
        self.keeping.take_theirs(before)

    def _do_both(self, work, message):
        self.keeping.keep_both(work)
        self.notice = later("keep.both_kept", title=work.document["title"])

    def _do_storage(self, work, message):
        self.keeping.trouble = message["text"]

    def _do_dismiss(self, work, message):
        self.notice = ""

    # From outside

    def _do_link(self, work, message):
        self._told["unlink"] = True
        self._offer(sharing.from_link(str(message["text"])))

    def _do_file(self, work, message):
        self._offer(sharing.from_file(str(message["name"]), message["text"]))

    def _offer(self, offer):
        self.offer, self.notice = offer, ""

    def _do_take(self, work, message):
        offer, self.offer = self.offer, None
        if offer is None:
            return
        before = work.document
        match message["text"]:
            case "look":
                self.looking = self.looking or (work.document, work.answered)
                work.open(offer.document)
            case "copy":
                self.looking = None
                work.open(offer.document)
                self.keeping.start(work)
                self.notice = later("keep.copied", title=offer.document["title"])
            case "merge":
                self._merge(work, before, offer.document, message)

    def _merge(self, work, before, document, message):
        found = sharing.merged(before, document)
        work.open(found.document, work.answered, ticks=work.errand.ticks)
        self.after(work, before, {"do": "merge"})
        self.notice = found.said

    def _do_own(self, work, message):
        if self.looking:
            work.open(*self.looking)
            self.looking = None

    # To others

    def _do_share(self, work, message):
        if work.answered is None:
            raise Refused(later("share.nothing"))
        page = str(message["page"])[:2000]
        found = sharing.address(work.answered, page)
        self.link = work.answered, found, sharing.qr_code(sharing.scanned(found))

    def _do_print(self, work, message):
        self.sheet = message["text"]
        if self.sheet == "handout":
            if work.answered is None:
                raise Refused(later("share.nothing"))
            work.catch_up()
            if self.link is None or self.link[0] is not work.answered:
                self._do_share(work, message)
        self._told["print"] = True

    # A club's order

    def _do_order_own(self, work, message):
        if work.answered is None:
            raise Refused(later("share.nothing"))
        self.order.add(work.answered)

    def _do_order_link(self, work, message):
        self.order.take(lambda: sharing.from_link(str(message["text"])))

    def _do_order_file(self, work, message):
        self.order.take(lambda: sharing.from_file(str(message["name"]), message["text"]))

    def _do_order_remove(self, work, message):
        self.order.remove(int(message["text"]))

    # A price list

    def _do_prices(self, work, message):
        self.prices.read(message["text"], work.document)

    def _do_prices_take(self, work, message):
        before = work.document
        found = self.prices.taken(before)
        work.open(found.document, work.answered, ticks=work.errand.ticks)
        self.after(work, before, {"do": "prices"})
        self.notice = found.said
        self.prices = Prices()

    def _do_prices_leave(self, work, message):
        self.prices = Prices()
