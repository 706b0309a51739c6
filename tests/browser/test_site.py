"""The built folder as a whole: it is complete, checked, alone, and starts."""

import re
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.desk import made_link, open_place, saved_calendar
from webapp.build import files
from webapp.build.parts import front

START_UP_MS = 60_000
README = Path(__file__).resolve().parents[2] / "README.md"


def started(page, address):
    """Open the page and wait until Python answers in it."""
    page.goto(address)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)


SERVED = {
    "default-src": "'none'",
    "script-src": "'self' 'wasm-unsafe-eval'",
    "worker-src": "'self' blob:",
    "manifest-src": "'self'",
    "connect-src": "'self'",
    "style-src": "'self' 'unsafe-inline'",
    "img-src": "'self' data:",
    "base-uri": "'none'",
    "form-action": "'none'",
    "require-trusted-types-for": "'script'",
    "trusted-types": "pennyflat",
}
ALONE = SERVED | {
    "script-src": "'wasm-unsafe-eval'",
    "worker-src": "blob:",
    "manifest-src": "'none'",
    "connect-src": "'none'",
    "style-src": "'unsafe-inline'",
    "img-src": "data:",
}


def policy_of(site, name="index.html"):
    html = (site / name).read_text("utf-8")
    return re.search(r'Content-Security-Policy" content="([^"]+)"', html)[1]


def test_it_starts_with_what_it_needs_and_from_its_folder_alone(page, site_url):
    asked = requested(page)
    started(page, site_url)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")

    assert {"python.memory", "pyodide.asm.wasm"} <= set(asked)
    assert "bokeh.min.js" not in asked  # no chart is in sight
    assert not any(name.endswith((".bundle", ".zip", "lock.json")) for name in asked)
    # that nothing outside was asked for is what the page fixture checks


def requested(page):
    """A list that grows by the name of each file that a page asks for."""
    asked = []
    page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    return asked


def test_charts_of_the_example_are_there_before_python_is(page, site_url):
    waiting = []
    page.route("**/python.memory", lambda route: waiting.append(route))
    page.goto(f"{site_url}#compare")

    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)
    expect(page.locator("#starting")).to_be_visible()
    [route] = waiting
    route.continue_()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)


def test_it_answers_before_what_draws_the_charts_is_there(page, site_url):
    waiting, memory = [], []
    page.route("**/bokeh.min.js", lambda route: waiting.append(route))
    page.route("**/python.memory", lambda route: memory.append(route))
    with page.expect_request("**/bokeh.min.js"):
        page.goto(f"{site_url}#compare")
    memory.pop().continue_()
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30", timeout=START_UP_MS)
    expect(page.locator("#chart-cost canvas")).to_have_count(0)
    [route] = waiting
    route.continue_()
    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)
    expect(page.locator("#starting")).to_have_count(0)


def test_what_was_put_off_is_fetched_when_it_is_wanted(page, site_url):
    asked = requested(page)
    started(page, site_url)

    made_link(page)
    saved_calendar(page)
    open_place(page, "share")
    page.get_by_role("button", name="Print the handout").click()
    expect(page.locator("#sheet h1")).not_to_be_empty()

    assert [name for name in asked if name.endswith(".bundle")] == ["late.bundle"]


def test_what_is_said_while_an_answer_comes_in_is_not_lost(page, site_url):
    started(page, site_url)
    bar = page.locator("#bar")
    before = bar.inner_text()

    # the first answer is still on its way: this waits, and is sent while that one is processed
    page.evaluate(
        """() => {
          const price = document.querySelector('[data-path="media[0].packages[1].price"]');
          price.value = "9.75";
          price.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )

    expect(bar).not_to_have_text(before)


def test_it_starts_from_a_folder_of_a_plain_static_server(page, site):
    command = [
        sys.executable,
        "-u",
        "-m",
        "http.server",
        "0",
        "--bind",
        "127.0.0.1",
        "-d",
        site.parent,
    ]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as plain:
        try:
            port = re.search(r"port (\d+)", plain.stdout.readline())[1]
            # in another page: the page fixture would reject this address
            other = page.context.browser.new_page(locale="en")
            started(other, f"http://127.0.0.1:{port}/{site.name}/")
            expect(other.locator("h1")).to_be_visible()
            other.close()
        finally:
            plain.terminate()


BESIDE = {"index.html": 0, front.ALONE: 1}
"""Scripts with a sum that are not in the page as they are: the single file has BokehJS packed."""


@pytest.mark.parametrize(("name", "allowed"), [("index.html", SERVED), (front.ALONE, ALONE)])
def test_the_policy_allows_what_is_listed_and_nothing_else(site, name, allowed):
    """Additions belong in the lists here, with their reason in front.py."""
    policy = policy_of(site, name)
    found = {directive: set(rest) for directive, *rest in map(str.split, policy.split(";"))}
    sums = {source for source in found["script-src"] if source.startswith("'sha256-")}

    assert found | {"script-src": found["script-src"] - sums} == {
        directive: set(sources.split()) for directive, sources in allowed.items()
    }
    written = re.findall(r"<script>", (site / name).read_text("utf-8"))
    assert len(sums) == len(written) + BESIDE[name]


def test_the_policy_names_every_script_that_stands_in_the_page(site):
    html = (site / "index.html").read_text("utf-8")
    inside = re.findall(r"<script>(.*?)</script>", html, re.DOTALL)

    assert inside
    assert all(f"'{front.sum_of(script.encode())}'" in policy_of(site) for script in inside)
    assert (
        re.findall(r"<[^>]*\son\w+\s*=", re.sub(r"<script.*?</script>", "", html, flags=re.S)) == []
    )


@pytest.mark.parametrize(
    ("attempt", "directive"),
    [
        ("fetch('http://127.0.0.1:9/')", "connect-src"),
        ("import('http://127.0.0.1:9/x.js')", "script-src-elem"),
        ("new Image().src = 'http://127.0.0.1:9/x.png'", "img-src"),
        ("import(URL.createObjectURL(new Blob([''])))", "script-src-elem"),
        ("setTimeout('window.reached = 1')", "require-trusted-types-for"),
        ("document.body.innerHTML = '<p>'", "require-trusted-types-for"),
        ("document.createElement('script').src = 'x.js'", "require-trusted-types-for"),
        ("new Worker('x.js')", "require-trusted-types-for"),
        ("document.body.setAttribute('onclick', '1')", "require-trusted-types-for"),
        ("trustedTypes.createPolicy('another', {})", "trusted-types"),
        ("trustedTypes.createPolicy('pennyflat', {})", "trusted-types"),
    ],
)
def test_the_policy_stops_what_it_forbids(browser, site_url, attempt, directive):
    page = browser.new_page(locale="en")
    page.goto(site_url)

    stopped = page.evaluate(
        f"""() => new Promise((told) => {{
          addEventListener("securitypolicyviolation", (event) => told(event.effectiveDirective));
          setTimeout(() => told("nothing was stopped"), 5000);
          try {{ {attempt} }} catch {{}} // a type that is not trusted throws as well
        }})"""
    )

    assert stopped == directive
    page.close()


@pytest.mark.parametrize(
    "attempt",
    [
        "trusted.html('<p><script>0</' + 'script>')",
        "trusted.html('<meta http-equiv=refresh content=0>')",
        "trusted.address('https://elsewhere.invalid/x.js')",
        "trusted.address(URL.createObjectURL(new Blob(['0'])))",
    ],
)
def test_the_pages_own_policy_lets_nothing_through_that_is_not_its_own(page, site_url, attempt):
    page.goto(site_url)

    said = page.evaluate(f"() => {{ try {{ return {attempt} }} catch (e) {{ return e.name }} }}")

    assert said == "TypeError"
    assert page.evaluate("trusted.html('<p>&lt;script&gt;').toString()") == "<p>&lt;script&gt;"


def test_it_starts_with_the_headers_that_the_readme_asks_a_host_for(page, site_url):
    named = re.search(r"What a host should add.*?```\n(.*?)```", README.read_text("utf-8"), re.S)[1]
    headers = dict(line.split(": ", 1) for line in named.splitlines())

    def with_headers(route):
        answer = route.fetch()
        route.fulfill(response=answer, headers=answer.headers | headers)

    assert "frame-ancestors" in headers["Content-Security-Policy"]
    page.route("**/*", with_headers)
    started(page, site_url)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    page.unroute_all(behavior="ignoreErrors")  # what is still under way at the end


def test_addresses_in_the_page_are_relative(site):
    html = (site / "index.html").read_text("utf-8")

    addresses = re.findall(r'\b(?:src|href)="([^"#]*)', html)

    assert addresses
    assert [a for a in addresses if a.startswith("/") or re.match(r"\w+:", a)] == []
    assert all((site / a).is_file() for a in addresses if a)


def test_every_file_is_listed_with_its_sum(site):
    listed = [line.split("  ", 1)[1] for line in (site / "SHA256SUMS").read_text().splitlines()]

    assert files.is_whole(site)
    names = {name.rpartition("/")[2] for name in listed}
    assert {"index.html", "service.js", "python.memory", "pyodide.asm.wasm"} <= names


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("pyodide.asm.wasm", "application/wasm"),
        ("bokeh.min.js", "text/javascript"),
        ("python.memory", "application/octet-stream"),
        ("favicon.svg", "image/svg+xml"),
        ("manifest.webmanifest", "application/manifest+json"),
    ],
)
def test_files_are_served_with_their_types(site, site_url, name, expected):
    [path] = site.rglob(name)

    with urllib.request.urlopen(site_url + path.relative_to(site).as_posix()) as answer:
        assert answer.headers.get_content_type() == expected


def test_progress_is_shown_while_it_loads(page, site_url):
    waiting = []
    page.route("**/python.memory", lambda route: waiting.append(route))
    page.goto(site_url)

    bar = page.get_by_role("progressbar", name="Getting ready to recalculate")
    expect(bar).to_be_visible()
    expect(page.locator("#starting")).to_contain_text("MB")
    for route in waiting:
        route.continue_()
    expect(bar).to_have_count(0, timeout=START_UP_MS)
