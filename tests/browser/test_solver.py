"""The page's own HiGHS: right, out of the way when no longer wanted, and missed in plain words."""

import json
import os

import pytest

from pennyflat.buying.highs import OPTIONS, solve
from tests.browser.desk import fresh
from tests.browser.marionette import firefox
from tests.programmes import hard, misses, small
from webapp.build.measure.visits import FIREFOX
from webapp.build.parts import front

LISTEN = """() => {
  window.solved = [];
  const { post } = pennyflat;
  pennyflat.post = (message) => (message.do === "solved" ? solved.push(message) : post(message));
  window.want = (solve) => {
    document.dispatchEvent(new CustomEvent("pennyflat:answer", { detail: { solve } }));
  };
  window.heard = async (number) => {
    while (solved.length < number) await new Promise((done) => setTimeout(done, 5));
    return solved.slice(-number);
  };
}"""
"""What Python would ask for is asked for here, and what it would be told is kept."""


@pytest.fixture(scope="module", params=["served", "one file"])
def opened(browser, site, site_url, request):
    """A page whose Python need not be up, from the file without network; fails on any error."""
    alone = request.param == "one file"
    context = fresh(browser, offline=alone)
    page = context.new_page()
    wrong = []
    page.on("console", lambda told: told.type == "error" and wrong.append(told.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto((site / front.ALONE).as_uri() if alone else site_url)
    page.evaluate(LISTEN)
    yield page
    context.close()
    assert wrong == []


@pytest.fixture
def page(opened):
    """The same page, that has been told nothing yet."""
    opened.evaluate("solved.length = 0")
    return opened


def test_it_solves_with_the_options_of_the_native_one(page):
    single_threaded = {name: setting for name, setting in OPTIONS.items() if name != "threads"}

    assert page.evaluate("BUILD.options") == single_threaded


def ask(page, number, model):
    page.evaluate("([id, model]) => want({ id, model })", [number, model])


def answers(page, number):
    """The last `number` answers, once there are that many."""
    return page.evaluate("number => heard(number)", number)


def test_it_comes_to_what_is_found_natively(page):
    for number in range(20):
        model = small(number)
        expected = solve(model)
        ask(page, number, model)
        answer = answers(page, number + 1)[-1]

        assert answer["id"] == number
        for key in ("proven", "status"):
            assert answer[key] == expected[key]
        for key in ("objective", "bound"):
            assert answer[key] == pytest.approx(expected[key], abs=2e-7)
        if expected["values"]:
            assert misses(model, answer["values"]) < 1e-8
        else:
            assert answer["values"] is None


def test_a_start_and_the_time_are_held_to(page):
    model = hard(1) | {"seconds": 0}
    ask(page, 1, model)
    [answer] = answers(page, 1)

    assert answer["values"] == model["start"]
    assert (answer["status"], answer["proven"]) == ("timeLimit", False)
    assert answer["bound"] is None or answer["bound"] < answer["objective"]


def test_of_a_plan_no_longer_wanted_nothing_is_heard(page):
    long = hard(2) | {"seconds": 1.5}
    ask(page, 1, small(0))  # loads the solver
    answers(page, 1)
    ask(page, 2, long)
    page.wait_for_timeout(200)
    ask(page, 3, small(0))
    assert [told["id"] for told in answers(page, 2)] == [1, 3]
    ask(page, 4, long)
    page.evaluate("want(null)")
    page.wait_for_timeout(2000)
    ask(page, 5, small(1))

    assert [told["id"] for told in answers(page, 3)] == [1, 3, 5]


def test_a_model_that_makes_no_sense_is_a_trouble_and_the_next_one_is_solved(page):
    ask(page, 1, small(0) | {"lower": []})
    [first] = answers(page, 1)
    ask(page, 2, small(0))
    [_, second] = answers(page, 2)

    assert first.keys() == {"do", "id", "trouble"} and first["id"] == 1
    assert second["id"] == 2 and second["proven"]


def test_it_solves_in_firefox_from_the_file(site, tmp_path):
    program = next((path for path in FIREFOX if path and os.path.exists(path)), None)
    if not program:
        pytest.skip("no Firefox is installed")
    with firefox(program, tmp_path) as page:
        page.open((site / front.ALONE).as_uri())
        page.run(f"({LISTEN})(); want({{ id: 1, model: {json.dumps(small(0))} }})")
        page.wait_until("solved.length")

        assert page.run("return solved[0].objective") == pytest.approx(solve(small(0))["objective"])


def test_without_its_files_it_says_so_and_tries_again(browser, site, site_url):
    context = fresh(browser)
    page = context.new_page()
    page.route("**/highs.wasm", lambda route: route.fulfill(status=404, body=""))
    page.goto(site_url)
    page.evaluate(LISTEN)
    ask(page, 1, small(0))
    [first] = answers(page, 1)
    page.unroute("**/highs.wasm")
    [path] = site.rglob("highs.wasm")
    page.route("**/highs.wasm", lambda route: route.fulfill(body=path.read_bytes()[:-9]))
    ask(page, 2, small(0))
    [_, second] = answers(page, 2)
    page.unroute("**/highs.wasm")
    ask(page, 3, small(0))
    [*_, third] = answers(page, 3)
    context.close()

    assert first["do"] == "solved" and first["id"] == 1
    assert first["trouble"].startswith("This page is being updated")
    assert second["trouble"].startswith("The file highs.wasm did not arrive as it should")
    assert third["proven"]
