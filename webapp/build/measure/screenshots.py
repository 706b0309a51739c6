"""Pictures of the page's main states at three widths, so that visual changes show in review.

They are PNG files with few colours, small enough to keep beside the code.
"""

from io import BytesIO

from PIL import Image

from webapp.build import serve
from webapp.build.environment import ROOT
from webapp.build.files import keep
from webapp.build.measure.browser import launched
from webapp.build.say import say, step

FOLDER = ROOT / "webapp" / "screenshots"
WIDTHS = {"phone": (390, 844), "tablet": (820, 1180), "wide": (1440, 900)}
COLOURS = 64
START_UP_MS = 60_000
DRAWN_MS = 600  # for the charts to follow, since they give no signal


def _dated(page):
    page.locator("#f-last_frost").fill("2027-05-15")


def _wrong(page):
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("a lot")
    page.locator("#standing .stamp").wait_for(state="attached")


def _empty(page):
    page.evaluate("places.go('share')")
    page.get_by_role("button", name="Start a new plan").click()
    page.locator("#standing ul").wait_for(state="attached")


STATES = {
    "": ("buy", None),
    "-enter": ("enter", None),
    "-compare": ("compare", None),
    "-grow": ("grow", _dated),
    "-share": ("share", None),
    "-wrong": ("buy", _wrong),
    "-empty": ("enter", _empty),
}
"""By the end of a picture's name, in this order: which place is open, and what to do first."""


def take(site):
    """Take them all in the light scheme, and the example in the dark one, too."""
    for old in FOLDER.glob("*.png"):
        old.unlink()
    with serve.served(site) as address, launched() as browser:
        for scheme, states in ("light", STATES), ("dark", {"-dark": STATES[""]}):
            page = browser.new_page(locale="en", color_scheme=scheme, reduced_motion="reduce")
            page.goto(address)
            page.locator("#starting").wait_for(state="detached", timeout=START_UP_MS)
            page.evaluate("places.go('compare')")
            page.locator("#chart-cost canvas").first.wait_for(state="attached")
            for state, (place, act) in states.items():
                with step(f"Taking {', '.join(width + state for width in WIDTHS)}"):
                    _take(page, state, place, act)
    say(f"{FOLDER.relative_to(ROOT)} holds {len(list(FOLDER.glob('*.png')))} pictures.")


def _take(page, state, place, act):
    """Pictures of one state at all widths."""
    page.evaluate("document.querySelectorAll('#share details').forEach((d) => (d.open = true))")
    page.evaluate(f"places.go('{place}')")
    if act:
        act(page)
    for name, (width, height) in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(DRAWN_MS)
        page.evaluate(f"places.go('{place}'); document.activeElement.blur(); scrollTo(0, 0)")
        image, small = Image.open(BytesIO(page.screenshot())).convert("RGB"), BytesIO()
        image.quantize(COLOURS, dither=Image.Dither.NONE).save(small, "PNG", optimize=True)
        keep(FOLDER / f"{name}{state}.png", small.getvalue())
