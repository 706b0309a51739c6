"""Which files the browser's Python reads: uses the page as a visitor would, and writes them down.

The page is built with everything put off to the rest, where each file that is read leaves its name.
"""

from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import assemble, bundle, fetch, serve
from webapp.build.browser import launched
from webapp.build.say import say, step

HEADS = {
    bundle.AT_START: """\
# The files of the standard library and of the packages that Python reads until the page has
# answered and its buttons and fields were used. `python3 build.py trace` writes this list. A file
# that is missing here is fetched when it is read: that costs time, nothing else.
""",
    bundle.WHEN_ASKED: """\
# The files that Python reads besides those in start.txt for whoever takes a link, a calendar or
# another file along. `python3 build.py trace` writes this list.
""",
}

TAKING = ("share", "print", "save", "order-own", "plan-copy")
"""What the buttons do by which something is taken along."""

LOSING = "forget-all"
"""What the button does that takes everything away."""


def write_list():
    """Bring webapp/lock/start.txt and asked.txt up to date."""
    if not bundle.BYTECODE:
        say("The lists name bytecode: a Python 3.12 is needed to make it.")
        return
    with TemporaryDirectory(dir=fetch.CACHE) as folder:
        assemble.write(assemble.site_files(put_all_off=True), Path(folder))
        with step("Using the page"), serve.served(folder) as address:
            lists = files_read(address)
    for path, read in lists.items():
        path.write_text(HEADS[path] + "".join(f"{name}\n" for name in read))
        say(f"{path.relative_to(bundle.ROOT)} lists {len(read)} files.")


def files_read(address):
    """The paths that are read while the page is used, sorted, by the list they belong in."""
    with launched() as browser:
        with opened(browser, address) as page:
            for _ in range(2):
                use(page, OPEN + TYPE)
                use(page, PRESS, f":not({', '.join(f'[data-do={a}]' for a in (*TAKING, LOSING))})")
                use(page, COME_NEAR)
            at_start = files_so_far(page)
        with opened(browser, address) as page:
            use(page, OPEN)
            page.locator("[data-path=last_frost]").fill("2027-05-15")
            for act in TAKING:
                use(page, PRESS, f"[data-do={act}]")
            when_asked = files_so_far(page) - at_start
    return {bundle.AT_START: sorted(at_start), bundle.WHEN_ASKED: sorted(when_asked)}


@contextmanager
def opened(browser, address):
    """A new visitor's page, with its charts."""
    page = browser.new_page(locale="en")
    page.add_init_script("window.print = () => {}")
    page.goto(address)
    page.locator("#starting").wait_for(state="detached", timeout=120_000)
    yield page
    page.close()


SETTLED = "const settled = () => new Promise((done) => setTimeout(done, 150));"
OPEN = """
for (const part of document.querySelectorAll("details")) part.open = true;
"""
TYPE = """
for (const field of document.querySelectorAll("[data-path]:is(input, select)")) {
  for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
  await settled();
}
"""
PRESS = """
const kindOf = ({ dataset }) => [dataset.do, dataset.do === "save" && dataset.text].join();
const buttons = [...document.querySelectorAll(`button[data-do]${which}`)];
for (const kind of new Set(buttons.map(kindOf))) {
  buttons.find((button) => kindOf(button) === kind && button.isConnected)?.click();
  await settled();
}
"""
COME_NEAR = """
document.getElementById("shopping")?.scrollIntoView();
"""


def use(page, script, which=""):
    """Run a script in the page, and wait for what Python makes of it."""
    page.evaluate(f"async (which) => {{ {SETTLED} {script} }}", which)
    page.wait_for_timeout(3000)


def files_so_far(page):
    """The paths that were read: set."""
    [worker] = page.workers
    return set(worker.evaluate("late"))
