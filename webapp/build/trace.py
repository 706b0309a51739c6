"""Which files the browser's Python reads: uses the page as a visitor would, and writes them down.

The page is built with everything put off to the rest, where each file that is read leaves its name.
"""

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import assemble, bundle, fetch, serve
from webapp.build.browser import launched
from webapp.build.say import say, step

HEAD = """\
# The files of the standard library and of the packages that Python reads until the page has
# answered and its buttons and fields were used. `python3 build.py trace` writes this list. A file
# that is missing here is fetched when it is read: that costs time, nothing else.
"""


def write_list():
    """Bring webapp/lock/start.txt up to date."""
    if not bundle.BYTECODE:
        say("The list names bytecode: a Python 3.12 is needed to make it.")
        return
    with TemporaryDirectory(dir=fetch.CACHE) as folder:
        site = shutil.copytree(assemble.SITE, folder, dirs_exist_ok=True)
        for name, data in assemble.site_files(at_start=frozenset()).items():
            fetch.keep(Path(site, name), data)
        with step("Using the page"), serve.served(site) as address:
            read = files_read(address)
    bundle.AT_START.write_text(HEAD + "".join(f"{path}\n" for path in read))
    say(f"{bundle.AT_START.relative_to(bundle.ROOT)} lists {len(read)} files.")


def files_read(address):
    """The paths that were read while the page was used, sorted."""
    with launched() as browser:
        page = browser.new_page(locale="en")
        page.goto(address)
        page.locator("#starting").wait_for(state="detached", timeout=120_000)
        use(page)
        [worker] = page.workers
        read = worker.evaluate("late")
    return sorted(set(read))


def use(page):
    """Press everything there is to press and type into every field, twice over."""
    for _ in range(2):
        page.evaluate(
            """async () => {
              const settled = () => new Promise((done) => setTimeout(done, 150));
              for (const part of document.querySelectorAll("details")) part.open = true;
              for (const field of document.querySelectorAll("[data-path]:is(input, select)")) {
                for (const kind of ["input", "change"])
                  field.dispatchEvent(new Event(kind, { bubbles: true }));
                await settled();
              }
              const buttons = [...document.querySelectorAll("button[data-do]")];
              for (const name of new Set(buttons.map((button) => button.dataset.do))) {
                buttons.find((button) => button.dataset.do === name && button.isConnected)?.click();
                await settled();
              }
              document.getElementById("shopping")?.scrollIntoView();
            }"""
        )
        page.wait_for_timeout(3000)
