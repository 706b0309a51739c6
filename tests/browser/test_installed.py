"""Kept on the device: opens without network, whole or not at all, never half old and half new."""

import shutil

import pytest
from playwright.sync_api import expect

from tests.browser.desk import made_link, open_place
from webapp.build import assemble, files, serve
from webapp.build.measure.visits import SHELL, installed

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
  let found = registration.installing; // the page looks for a newer version by itself, too
  registration.addEventListener("updatefound", () => (found = registration.installing));
  while (!found) {{
    await registration.update().catch(() => {{}});
    await new Promise((done) => setTimeout(done, 200));
  }}
  return ({REACHES})(found, "redundant");
}}"""


MENDED = """async () => {
  const cache = await caches.open((await caches.keys())[0]);
  const [file] = (await cache.keys()).filter(({ url }) => url.endsWith("python.memory"));
  return BUILD.sums[BUILD.memory] === (await sumOf(await (await cache.match(file)).arrayBuffer()));
}"""
WELL = """async () => {
  const file = `${BUILD.runtime}pyodide.asm.wasm`, answer = await fetch(file);
  return BUILD.sums[file] === (await sumOf(await answer.arrayBuffer()));
}"""


@pytest.fixture
def copy(site, tmp_path):
    """A copy of the site that a test may change."""
    return shutil.copytree(site, tmp_path / "site")


@pytest.fixture
def address(copy):
    """Where the copy is served."""
    with serve.served(copy) as found:
        yield found


@pytest.fixture
def visit(browser):
    """A browser that remembers from visit to visit."""
    context = browser.new_context(locale="en")
    yield context
    context.close()


@pytest.fixture
def lasting(browser, tmp_path):
    """A browser with a profile; one without does not cache large files by itself."""
    context = browser.browser_type.launch_persistent_context(
        tmp_path / "profile", **installed(first=SHELL)
    )
    yield context
    context.close()


@pytest.fixture
def noted(copy):
    """The address of a folder around the copy, and the names of the files that were asked for."""
    asked = []

    class Noting(serve.Handler):
        def send_head(self):
            asked.append(self.path.partition("?")[0].rpartition("/")[2])
            return super().send_head()

    with serve.served(copy.parent, Noting) as address:
        yield address, asked


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


@pytest.fixture(scope="module")
def newer(site):
    """The files of a version after this one: the calculator and the front page have changed."""
    shell, parts = assemble.shell, assemble.bundle.python_parts

    def titled():
        text = shell()
        before, _, rest = text["index.html"].partition("<title>")
        return text | {"index.html": f"{before}<title>Second{rest[rest.index('</title>') :]}"}

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(assemble, "shell", titled)
        patch.setattr(assemble.bundle, "python_parts", lambda: newer_memory(parts()))
        return assemble.site_files()


def newer_memory(parts):
    """The same parts with unused bytes appended to the memory."""
    name = assemble.bundle.MEMORY
    return parts | {name: parts[name] + bytes(65536)}


def release(folder, version):
    """Bring another version into a folder; files of the one before do not stay."""
    files.write(version, folder)


def first_title(page):
    expect(page).to_have_title("Pennyflat: what one seedling costs")


def test_the_second_visit_works_without_network(visit, address):
    install(visit, address)
    visit.set_offline(True)

    page = opened(visit, address)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30")
    made_link(page)
    expect(page.locator("#share-card .qr svg")).to_be_visible()


def test_what_the_start_has_fetched_is_kept_without_fetching_it_again(lasting, noted):
    address, asked = noted

    install(lasting, f"{address}site/")

    assert [asked.count(name) for name in ("python.memory", "pyodide.asm.wasm")] == [1, 1]


def test_a_second_visit_takes_the_code_that_the_browser_has_compiled(lasting, noted):
    address, asked = noted
    install(lasting, f"{address}site/")
    page = lasting.new_page()
    page.goto(f"{address}site/favicon.svg")
    page.evaluate(
        """async () => {
          const cache = await caches.open((await caches.keys())[0]);
          const kept = await cache.keys();
          for (const file of kept) if (file.url.endsWith(".wasm")) await cache.delete(file);
        }"""
    )

    opened(lasting, f"{address}site/")

    assert asked.count("pyodide.asm.wasm") == 1


def test_code_that_has_gone_bad_in_the_browsers_own_cache_is_told_and_mended(lasting, noted, copy):
    address, _ = noted
    install(lasting, f"{address}site/")
    [code] = copy.rglob("pyodide.asm.wasm")
    good = code.read_bytes()
    code.write_bytes(good[:-9] + bytes([good[-9] ^ 1]) + good[-8:])
    page = lasting.new_page()
    page.goto(address)  # a list of files, which is not the page's
    own = code.relative_to(copy.parent).as_posix()
    page.evaluate("(file) => fetch(file, { cache: 'reload' }).then((answer) => answer.blob())", own)
    code.write_bytes(good)

    page.goto(f"{address}site/")
    expect(page.get_by_role("alert")).to_contain_text("did not arrive", timeout=START_UP_MS)
    page.wait_for_function(WELL, timeout=START_UP_MS)
    page.get_by_role("button", name="Load the page again").click()

    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(page.get_by_role("alert")).to_be_hidden()


def test_a_newer_version_is_announced_and_comes_whole_when_asked_for(visit, copy, address, newer):
    install(visit, address)
    page = opened(visit, address)
    release(copy, newer)

    page.reload()
    expect(page).to_have_title("Pennyflat: what one seedling costs")
    announced = page.locator("#update")
    expect(announced).to_contain_text("A newer version", timeout=START_UP_MS)
    announced.get_by_role("button").click()

    expect(page).to_have_title("Second", timeout=START_UP_MS)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(announced).to_be_empty()


@pytest.mark.parametrize("harm", ["missing", "damaged"])
def test_a_half_finished_download_leaves_the_installed_version_whole(
    visit, copy, address, newer, harm
):
    install(visit, address)
    release(copy, newer)
    [changed] = copy.rglob("python.memory")  # what is as before is not fetched again
    if harm == "missing":
        changed.unlink()
    else:
        changed.write_bytes(changed.read_bytes()[:-1] + b"?")
    page = opened(visit, address)
    page.evaluate(REFUSED)
    kept = page.evaluate("caches.keys()")
    page.close()
    visit.set_offline(True)

    again = opened(visit, address)

    assert len(kept) == 1
    first_title(again)
    expect(again.locator("#update")).to_be_empty()


def test_a_page_whose_files_are_replaced_while_it_opens_does_not_start(visit, copy, address, newer):
    page = visit.new_page()

    def swapped(route):
        release(copy, newer)
        route.continue_()

    page.route("**/python.memory", swapped)
    page.goto(address)

    expect(page.get_by_role("alert")).to_contain_text("is being updated", timeout=START_UP_MS)
    first_title(page)
    expect(page.locator("#starting")).to_have_count(0)
    assert not page.evaluate("performance.getEntriesByName('pennyflat: ready').length")
    page.unroute_all(behavior="ignoreErrors")
    page.get_by_role("button", name="Load the page again").click()
    expect(page).to_have_title("Second", timeout=START_UP_MS)
    open_place(page, "compare")
    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)


def test_what_draws_the_charts_is_not_taken_from_another_version(visit, copy, address):
    [script] = copy.rglob("bokeh.min.js")
    script.unlink()
    page = visit.new_page()

    page.goto(f"{address}#compare")

    expect(page.get_by_role("alert")).to_contain_text("is being updated", timeout=START_UP_MS)


def test_a_kept_file_that_has_gone_bad_is_told_and_mended(visit, copy, address):
    install(visit, address)
    page = visit.new_page()
    page.goto(f"{address}favicon.svg")
    page.evaluate(
        """async () => {
          const cache = await caches.open((await caches.keys())[0]);
          const [file] = (await cache.keys()).filter(({ url }) => url.endsWith("python.memory"));
          const bytes = new Uint8Array(await (await cache.match(file)).arrayBuffer());
          bytes[bytes.length - 100] ^= 1;
          await cache.put(file, new Response(bytes));
        }"""
    )
    page.goto(address)
    expect(page.get_by_role("alert")).to_contain_text("did not arrive", timeout=START_UP_MS)
    page.wait_for_function(MENDED, timeout=START_UP_MS)
    visit.set_offline(True)

    page.get_by_role("button", name="Load the page again").click()

    open_place(page, "compare")
    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)


def test_icons_are_pictures_of_the_sizes_that_the_manifest_says(site):
    told = assemble.json.loads((site / assemble.MANIFEST).read_text("utf-8"))

    for icon in told["icons"]:
        data = (site / icon["src"]).read_bytes()
        if icon["type"] == "image/png":
            width, height = (int.from_bytes(data[start : start + 4]) for start in (16, 20))
            assert data.startswith(b"\x89PNG\r\n\x1a\n")
            assert icon["sizes"] == f"{width}x{height}"
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in told["icons"]}


def test_everything_the_page_may_ask_for_is_kept(site):
    script = (site / assemble.SERVICE).read_text("utf-8")
    kept = assemble.json.loads(script.partition("const KEPT = ")[2].partition(";\n")[0])["files"]
    there = {p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file()}

    in_a_bundle = {"licences.txt", "sbom.cdx.json"}  # the page takes both from about.bundle
    alone = {files.SUMS, assemble.SERVICE, "pennyflat.html"}
    assert there - kept.keys() == alone | in_a_bundle
