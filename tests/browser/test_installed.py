"""Kept on the device: opens without network, whole or not at all, never half old and half new."""

import shutil
import threading

import pytest
from playwright.sync_api import expect

from webapp.build import assemble, installable, serve

START_UP_MS = 90_000
REACHES = """(worker, state) => new Promise((reached, failed) => {
  const look = () => worker.state === state && reached(state);
  worker.addEventListener("statechange", look);
  setTimeout(() => failed(new Error(`${worker.state}, not ${state}`)), 60_000);
  look();
})"""
KEPT = f"""async () => {{
  const registration = await navigator.serviceWorker.ready;
  return ({REACHES})(registration.active, "activated");
}}"""
REFUSED = f"""async () => {{
  const registration = await navigator.serviceWorker.ready;
  const found = new Promise((take) => {{
    registration.addEventListener("updatefound", () => take(registration.installing));
  }});
  await registration.update();
  return ({REACHES})(await found, "redundant");
}}"""


@pytest.fixture
def copy(site, tmp_path):
    """A copy of the site that a test may change."""
    return shutil.copytree(site, tmp_path / "site")


@pytest.fixture
def address(copy):
    """Where the copy is served."""
    with serve.server(copy) as running:
        thread = threading.Thread(target=running.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{running.server_port}/"
        running.shutdown()
        thread.join()


@pytest.fixture
def visit(browser):
    """A browser that remembers from visit to visit."""
    context = browser.new_context()
    yield context
    context.close()


def opened(visit, address):
    page = visit.new_page()
    page.goto(address)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    return page


def install(visit, address):
    """Visit once and wait until all is kept."""
    page = opened(visit, address)
    page.evaluate(KEPT)
    page.close()


def release(folder, title):
    """Turn a copy of the site into another version, with another title."""
    files = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name not in (assemble.SUMS, installable.WORKER)
    }
    del files["pennyflat.html"]
    old = (folder / installable.WORKER).read_text("utf-8")
    script = old.partition("};\n")[2]
    html = files["index.html"].decode()
    before, _, rest = html.partition("<title>")
    files["index.html"] = f"{before}<title>{title}{rest[rest.index('</title>') :]}".encode()
    (folder / "index.html").write_bytes(files["index.html"])
    worker = installable.service_worker(files, assemble.version_of(files), script)
    (folder / installable.WORKER).write_bytes(worker)


def test_the_second_visit_works_without_network(visit, address):
    install(visit, address)
    visit.set_offline(True)

    page = opened(visit, address)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30")
    [worker] = page.workers
    assert worker.evaluate("python.runPython('import numpy.random; 3')") == 3


def test_a_newer_version_is_announced_and_comes_whole_when_asked_for(visit, copy, address):
    install(visit, address)
    page = opened(visit, address)
    release(copy, "Second")

    page.reload()
    expect(page).to_have_title("Pennyflat: what one seedling costs")
    announced = page.locator("#update")
    expect(announced).to_contain_text("A newer version", timeout=START_UP_MS)
    announced.get_by_role("button").click()

    expect(page).to_have_title("Second", timeout=START_UP_MS)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(announced).to_be_empty()


@pytest.mark.parametrize("harm", ["missing", "damaged"])
def test_a_half_finished_download_leaves_the_installed_version_whole(visit, copy, address, harm):
    install(visit, address)
    release(copy, "Second")
    if harm == "missing":
        (copy / "style.css").unlink()
    else:
        (copy / "style.css").write_text("/* of another version */")
    page = opened(visit, address)
    page.evaluate(REFUSED)
    kept = page.evaluate("caches.keys()")
    page.close()
    visit.set_offline(True)

    again = opened(visit, address)

    assert len(kept) == 1
    expect(again).to_have_title("Pennyflat: what one seedling costs")
    expect(again.locator("#update")).to_be_empty()


def test_icons_are_pictures_of_the_sizes_that_the_manifest_says(site):
    told = assemble.json.loads((site / installable.MANIFEST).read_text("utf-8"))

    for icon in told["icons"]:
        data = (site / icon["src"]).read_bytes()
        if icon["type"] == "image/png":
            width, height = (int.from_bytes(data[start : start + 4]) for start in (16, 20))
            assert data.startswith(b"\x89PNG\r\n\x1a\n")
            assert icon["sizes"] == f"{width}x{height}"
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in told["icons"]}


def test_everything_the_page_may_ask_for_is_kept(site):
    script = (site / installable.WORKER).read_text("utf-8")
    kept = assemble.json.loads(script.partition("const KEPT = ")[2].partition(";\n")[0])["files"]
    there = {p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file()}

    assert there - kept.keys() == {assemble.SUMS, installable.WORKER, "pennyflat.html"}
