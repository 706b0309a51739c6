"""The built site, served on a free port, in a browser that can look up no other host."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from webapp.build import serve
from webapp.build.browser import launched

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def site():
    """The folder of the site, built from what is here now."""
    subprocess.run([sys.executable, ROOT / "build.py"], check=True)
    return ROOT / "site"


@pytest.fixture(scope="session")
def site_url(site):
    """Where the site is served."""
    with serve.server(site) as running:
        thread = threading.Thread(target=running.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{running.server_port}/"
        running.shutdown()
        thread.join()


@pytest.fixture(scope="session")
def browser():
    """One browser for all tests."""
    with launched() as running:
        yield running


@pytest.fixture
def page(browser, site_url):
    """An empty page; fails if it logs or throws an error, or asks for anything outside."""
    context = browser.new_context(locale="en", viewport={"width": 1280, "height": 900})
    page = context.new_page()
    wrong = []

    def requested(request):
        if not inside(request.url, site_url):
            wrong.append(f"asked for {request.url}")

    page.on("console", lambda told: told.type == "error" and wrong.append(f"logged {told.text}"))
    page.on("pageerror", lambda error: wrong.append(f"threw {error}"))
    page.on("request", requested)
    yield page
    context.close()
    assert wrong == []


def inside(url, site_url):
    """Whether an address is in the site's own folder, or made in the page itself."""
    return url.startswith((site_url, f"blob:{site_url}", "data:"))
