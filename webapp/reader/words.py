"""Every text of the page, by key, in one place.

`text(key, …)` fills in the named gaps, in the current language; see languages.py. A key that ends
in a place of `entry.FIELDS` belongs to that entry field. The model words its own sentences, such as
why a sowing is not ready, and `said` translates them.
"""

from string import Formatter

from buy import words as shopping_words
from compare import words as compare_words
from enter import words as entry_words
from grow import words as almanac_words
from notes import words as notes_words
from page import words as page_words
from pennyflat.sentences import GLUE, Amount, Listed, Money, Said
from pennyflat.units import to_customary
from pennyflat_display import words as display_words
from pennyflat_display.money import amount, currency_of
from pennyflat_display.places import US, unit_name, units, write
from reader.languages import translated, translated_for
from share import words as desk_words
from trials import words as bench_words

ENGLISH = {
    # The page
    "page.name": "Pennyflat",
    "page.tagline": "What one seedling really costs, mix by mix.",
    "page.lede": (
        "Type in what the bags on the shelf say, and see what to buy and what one seedling costs."
        " Everything is worked out on your own device; nothing is sent anywhere."
    ),
    "page.skip": "Skip to the page",
    "list.and": "{before} and {last}",
    "list.or": "{before} or {last}",
    "language.label": "Language",
    "language.missing": "That language could not be fetched. Try it again once you are connected.",
    "language.unreviewed": "This translation has not been checked by a grower who speaks it.",
    "page.failed": "That could not be worked out. Your entries are kept: change the last one.",
    # Names of new things, which become the grower's own
    "new.plan": "My seedlings",
    "new.own_store": "My shop",
    "new.seed_mix": "Seed-starting mix",
    "new.potting_mix": "Potting mix",
    "new.sowings": "New crop",
    "new.media": "New mix",
    "new.blend": "Home blend",
    "new.ingredients": "New ingredient",
    "new.stores": "New shop",
    "new.trays": "New tray",
    "new.feed": "Soluble feed",
    # What is still missing overall
    "missing.name": "a name is needed",
    "missing.other_name": "another row has this name; give each its own",
    "missing.sowings": "add what you are raising",
    "missing.media": "add a mix to compare",
    "act.own_prices": "Use my own prices",
    "act.reset": "Back to the example",
    "act.undo": "Undo",
    "act.forget": "Close",
    "act.remove": "Remove",
    "act.remove_this": "Remove {what}",
    "act.copy": "Copy",
    "act.copy_this": "Copy {what}",
    "act.add_sowing": "Add a crop",
    "act.add_mix": "Add a bought mix",
    "act.add_blend": "Add a home blend",
    "act.add_package": "Add another package",
    "act.add_package_of": "Add another package of {what}",
    "act.remove_package": "Remove this package",
    "act.add_ingredient": "Add an ingredient to buy",
    "act.add_part": "Add a part",
    "act.add_addition": "Add a dry amendment",
    "act.add_store": "Add a shop",
    "act.add_tray": "Add a tray",
    "act.add_packet": "Add another packet",
    "act.remove_packet": "Remove this packet",
    "act.add_feed": "Add a feed",
    "act.feed": "Yes, I have or buy a feed",
    "act.feed_none": "No",
    "act.add_energy": "Count light and heat",
    "act.add_labour": "Count my time",
    "act.stop": "Stop counting it",
    "undo.label": "Removed last",
    "undo.row": "{what} is removed.",
    "undo.package": "A package",
    "undo.packet": "A seed packet",
    "undo.it": "It",
    "undo.all": "Your earlier entries are set aside; Undo brings them back.",
    # Sections
    "raising.title": "What you are raising",
    "raising.more": "Seed, tray and feeding",
    "shelf.title": "What is on the shelf",
    "shelf.blends": "Ingredients for home blends",
    "shelf.more": "Kind of mix, filling, feeding and emergence",
    "package.more": "Deal, limit and loosened volume",
    "package.deal": "Deal and limit",
    "package.of": "Package {number} of {what}",
    "blend.title": "Mixed from, by volume",
    "blend.additions": "Dry amendments stirred in",
    "blend.part": "Part {number} of {what}",
    "blend.addition": "Amendment {number} of {what}",
    "blend.none": "No dry amendments.",
    "emergence.title": "Where seed comes up better or worse in this mix",
    "emergence.intro": (
        "Share of seeds that give a normal seedling in this mix, or what you counted, as in 17/20."
        " Blank: as the crop's germination."
    ),
    "emergence.short": "Emergence",
    "survival.title": "Where seedlings survive better or worse in this mix",
    "survival.intro": (
        "Share of thinned seedlings that reach transplanting in this mix. Blank: as the crop's."
    ),
    "survival.short": "Survival",
    "seed.title": "Seed as it is sold",
    "seed.intro": "Copy it from the packet. Left blank, the cost of seed is not counted.",
    "seed.packet": "Packet {number} of {what}",
    "seed.more": "Sold by weight, deal and limit",
    "seed.known_less": "If you know only the price of a seed",
    "feed.title": "The feed",
    "feed.none": (
        "No feed is entered. A mix whose own fertiliser runs out before transplanting then leaves"
        " seedlings not ready."
    ),
    "feed.ask": "Do you feed your seedlings?",
    "feed.ask_help": (
        "Without a feed, a mix whose own fertiliser runs out before transplanting leaves seedlings"
        " not ready."
    ),
    "feed.dose": "How strong and how often",
    "feed.dose_help": (
        "Fill in one of three: a target strength with the N on the label, or {dry}, or {liquid}."
    ),
    "rest.title": "Shops, tax and what else costs",
    "stores.title": "Shops",
    "money.title": "Currency, tax and budget",
    "energy.title": "Light and heat",
    "energy.none": "Not counted.",
    "labour.title": "Your time",
    "labour.none": "Not counted.",
    "potting.title": "The bigger pot",
    "trays.title": "Trays and pots",
    "trays.intro": (
        "What each crop stands in is chosen there. A tray without a price is not counted."
    ),
    "summary.sowing": (
        "{wanted} wanted, cells of {cell}, {weeks} week",
        "{wanted} wanted, cells of {cell}, {weeks} weeks",
    ),
    "summary.package": "{size} for {price}",
    "summary.blend": "mixed from {parts}",
    "summary.check": "{count} to correct",
    "summary.fill": "{count} to fill in",
    "summary.money": "{currency}, {tax} tax",
    "summary.currency": "{currency}",
    "summary.counted": "Counted.",
    # The answer while something is missing
    "standing.blank": "The answer appears here as soon as these are filled in:",
    "standing.stale": "For the last complete entries. Look at:",
    "standing.more": ("and {count} more", "and {count} more"),
    # The pictures
    "drawn.tray": "What becomes of the cells: {crop} in {medium}",
    "drawn.tray_said": (
        "Of {count} cell sown: {ready}, {lost}, {empty}.",
        "Of {count} cells sown: {ready}, {lost}, {empty}.",
    ),
    "drawn.ready": ("{count} expected ready", "{count} expected ready"),
    "drawn.lost": ("{count} lost on the way", "{count} lost on the way"),
    "drawn.empty": ("{count} stays empty", "{count} stay empty"),
    "drawn.scale": "To scale: each cell as wide as a cube of {volume}.",
    "drawn.each": "Each cell drawn stands for {count}.",
    "drawn.thinned": ("{count} seedling is thinned out.", "{count} seedlings are thinned out."),
    "drawn.bags_said": (
        "Of {litres} bought, {in_cells} end up in cells, {lost} are lost on the way,"
        " {left_over} are left over."
    ),
    "drawn.more_bags": ("and {count} more", "and {count} more"),
    "steps.title": "These lines as numbers",
    "steps.caption": "Money at the till, from which number of seedlings on",
    "steps.from": "From seedlings",
    # The table
    "column.medium": "Mix",
    "column.total": "Used up, each",
    "column.till": "At the till, each",
    "column.paid": "Paid",
    "column.cells": "Cells to sow",
    "column.seeds": "Seeds",
    "column.share": "Cells ready",
    "column.litres": "Mix ({unit})",
    "column.feedings": "Feedings",
    "column.solution": "Feed solution ({unit})",
    "table.money": "{crop}: what a seedling costs",
    "table.amounts": "What to sow and use for the whole sowing",
}

SCRIPTS = {
    "start.title": "Pennyflat: what one seedling costs",
    "start.label": "Getting ready",
    "start.bar": "Getting ready to recalculate",
    "start.fetch": "Fetching the calculator",
    "start.fetched": "Fetching the calculator: {got} of {of} MB",
    "start.python": "Starting Python …",
    "start.no_script": (
        "The example can be read as it is; to change it, allow this page to run JavaScript."
    ),
    "wrong.at_start": (
        "The calculator could not start, so the figures below do not follow what you type. {why}"
    ),
    "wrong.charts": "The charts could not be drawn; everything else works. {why}",
    "wrong.in_step": "Something went wrong in the last step. {why} What you entered is still here.",
    "wrong.details": "What the program said",
    "wrong.again": "Load the page again",
    "wrong.webassembly": (
        "This browser cannot run WebAssembly, which it needs. Use a current Firefox, Chrome, Edge"
        " or Safari; if WebAssembly is switched off here, allow it for this page."
    ),
    "wrong.memory": (
        "There was not enough memory. Close other tabs or programs and load the page again."
    ),
    "wrong.missing": (
        "This page is being updated, and some of its files are of another version. Load the page"
        " again in a minute."
    ),
    "wrong.damaged": (
        "The file {file} did not arrive as it should have. Load the page again; if that does not"
        " help, the copy on the server is damaged."
    ),
    "wrong.unreachable": (
        "The file {file} could not be fetched. Check the connection and load the page again."
    ),
    "wrong.worker": "The program that calculates could not be loaded.",
    "wrong.stopped": "It stopped again and again.",
    "watch.behind": "Still working: the figures do not yet follow what you entered last.",
    "watch.restarting": (
        "The calculator stopped and is starting again. Until then the figures are not current."
    ),
    "watch.restarted": (
        "The calculator stopped and was started again. It goes on from your plan and what you"
        " entered since."
    ),
    "watch.left_out": (
        "The calculator stopped twice at the same step, so that step is left out: {what}. All else"
        " is still here."
    ),
    "watch.whole_plan": "opening your plan",
    "watch.close": "Close this message",
    "keep.evicted": (
        "This browser no longer has the plan that this page kept here. Browsers remove what pages"
        " keep when room runs short or when they are asked to; a plan saved as a file stays."
    ),
    "update.newer": "A newer version of this page is ready. It comes with your next visit.",
    "update.take_over": "Load it now",
}
"""Texts shown by the page's scripts: the build writes them into index.html in English, and Python
sends them again when the language changes."""

PARTS = (
    ENGLISH, display_words.ENGLISH, entry_words.ENGLISH, almanac_words.ENGLISH, page_words.ENGLISH,
    compare_words.ENGLISH, bench_words.ENGLISH, desk_words.ENGLISH, notes_words.ENGLISH, SCRIPTS,
    shopping_words.ENGLISH,
)  # fmt: skip
CATALOGUE = {key: found for part in PARTS for key, found in part.items()}
"""The texts in English; a pair is for one thing and for any other number of them."""


class Later(str):
    """A text that is kept until it is shown, in whatever language is current then."""

    def __new__(cls, key, /, **gaps):
        made = super().__new__(cls, text(key, **gaps))
        made.key, made.gaps = key, gaps
        return made


later = Later


def text(key, /, **gaps):
    """The text of a key with its gaps filled; KeyError if there is no such text."""
    found = translated(key, CATALOGUE[key])
    return _filled(found, gaps) if gaps else found


def counted(key, count, /, **gaps):
    """
    The text of a key for a number of things, with its gaps filled; {count} is the count by default.

    None, for an unknown number, counts as several.
    """
    one, several = CATALOGUE[key]
    found = translated_for(2 if count is None else count, key, one, several)
    return _filled(found, {"count": count, **gaps})


def text_or_none(key, /, **gaps):
    """Like `text`, but None if there is no such text."""
    return text(key, **gaps) if key in CATALOGUE else None


def data(found):
    """A text of the trade's tables in the current language."""
    return translated("data", found)


def said(sentence):
    """A sentence of the model or from `later` in the current language; all else is unchanged."""
    if isinstance(sentence, Later):
        return text(sentence.key, **sentence.gaps)
    if isinstance(sentence, Said):
        return _SPEAKER.vformat(translated("model", sentence.template), (), sentence.gaps)
    return sentence


def in_a_row(items, glue):
    """Texts in a series, with a word before the last if the glue has one; see `Listed`."""
    between, _ = GLUE[glue]
    if glue not in ("and", "or") or len(items) < 2:
        return between.join(items)
    return text(f"list.{glue}", before=between.join(items[:-1]), last=items[-1])


def of_scripts():
    """The texts shown by the page's scripts, by key."""
    return {key: text(key) for key in SCRIPTS}


def field_name(place):
    """The label of an entry field without its unit."""
    crop = text("survival.short" if place.endswith("survival{}") else "emergence.short")
    label = text(f"label.{place}", crop=crop, symbol="", unit="")
    return label.partition(" (")[0]


class _Speaker(Formatter):
    """Fills the gaps of the model's sentences, each in the current language."""

    def get_value(self, key, args, gaps):
        found = super().get_value(key, args, gaps)
        if key in ("unit", "per"):  # keys of label units
            return text_or_none(f"short.{found}") or found
        return found

    def format_field(self, value, spec):
        if isinstance(value, str):
            return said(value)
        if isinstance(value, Amount):
            return _amount(value, spec)
        if isinstance(value, Money):
            own = currency_of(value.currency)
            return amount(value.amount, own, own.decimals + value.decimals - 2)
        if isinstance(value, Listed):
            items = [self.format_field(item, "") for item in value.items]
            return in_a_row(items, value.glue)
        return write(value, spec)


_SPEAKER = _Speaker()


def _amount(found, spec):
    """One of the model's amounts in the reader's units."""
    unit, value = text(f"short.{unit_name(found.quantity, units())}"), found.value
    if units() == US:
        value = to_customary(value, found.quantity)
        digits = ".4g" if spec == ",.10g" else ".3g"  # the working shows four
        spec = digits if abs(value) < 1000 else ",.0f"  # more digits would add nothing
    return f"{write(value, spec)} {unit}"


def _filled(found, gaps):
    return found.format_map({name: said(gap) for name, gap in gaps.items()})
