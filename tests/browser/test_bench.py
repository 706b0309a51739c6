"""The trial bench in a real browser: at the bench with a phone, and at a desk with its results."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.desk import open_place

WORKED_OUT_MS = 30_000


@pytest.fixture
def bench(example):
    """The bench on a narrow screen, with invented counts."""
    example.set_viewport_size({"width": 390, "height": 844})
    open_place(example, "grow")
    found = example.locator("#trial-bench")
    found.get_by_role("button", name="Try it with invented counts").click()
    expect(found.locator("#pot-2")).to_be_attached(timeout=WORKED_OUT_MS)
    return found


def show(bench):
    bench.get_by_role("button", name="Show results").click()
    expect(bench.locator("#bench-uses button").first).to_be_visible(timeout=WORKED_OUT_MS)


def test_a_count_is_typed_in_one_field(bench):
    field = bench.get_by_role("textbox", name="Seed starter mix, tomato")
    field.fill("10")

    expect(bench.locator("#pot-0 .gist")).to_have_text("10 of 10 up on day 14")
    expect(field).to_be_focused()
    expect(field).to_have_value("10")


def test_a_count_by_the_number_of_its_day(bench):
    bench.get_by_label("or day after sowing").fill("8")
    field = bench.get_by_role("textbox", name="Bulk potting mix, tomato")
    expect(bench.locator(".tally")).to_contain_text("day 8, of 10 sown; 3 on day 7 before")
    field.fill("5")

    bench.locator("#pot-1 > summary").click()
    bench.locator("#pot-1 summary", has_text="Counts").click()
    expect(bench.locator("#pot-1").get_by_label("Day after sowing").nth(2)).to_have_value("8")
    expect(bench.locator("#pot-1").get_by_label("Up so far").nth(2)).to_have_value("5")


def test_the_answer_is_one_sentence_and_one_picture_and_the_rest_is_folded(bench):
    expect(bench.locator("#bench-shows")).to_be_empty()
    expect(bench.locator("#bench-details")).to_be_hidden()
    show(bench)

    answer = bench.locator("#bench-shows .shows")
    expect(answer).to_have_count(1)
    expect(answer).to_have_text(
        re.compile(r"^Seed .* most likely makes the cheapest ready tomato of the 3 mixes.*\.$")
    )
    expect(bench.locator("#chart-stakes canvas").first).to_be_visible()
    expect(bench.locator("#chart-emergence")).to_be_hidden()
    assert bench.locator("table:visible").count() == 0
    shown = bench.locator(".trials-right").inner_text()
    for name in ("Jeffreys", "Fisher", "Coolbear", "Bonferroni", "Howard"):
        assert name not in shown
    bench.get_by_text("Details", exact=True).click()
    expect(bench.locator("#bench-table")).to_contain_text("That is next to nothing known")
    expect(bench.locator("#chart-emergence canvas").first).to_be_visible()
    bench.locator("#bench-pairs > summary").click()
    expect(bench.locator("#bench-pairs")).to_contain_text("luck alone parts equal mixes so far")
    expect(bench.locator("#bench-pairs .hint")).to_contain_text("Fisher’s exact test")


def test_tables_fit_a_phone(bench):
    show(bench)
    bench.page.evaluate(
        "document.querySelectorAll('#bench-details, #bench-details details')"
        ".forEach((fold) => { fold.open = true })"
    )
    tables = bench.locator("#bench-details .scroller")
    expect(tables).to_have_count(4)
    for table in tables.all():
        wide, room = table.evaluate("(one) => [one.scrollWidth, one.clientWidth]")
        assert wide <= room, table.get_attribute("aria-label")


def test_it_is_said_at_once_and_once_that_results_are_worked_out(bench):
    page = bench.page
    expect(page.locator("#steps-table table")).to_be_attached(timeout=WORKED_OUT_MS)
    page.evaluate("""() => {
        const [status, sign] = ["status", "bench-busy"].map((id) => document.getElementById(id));
        window.seen = [];
        new MutationObserver(() => seen.push(status.textContent)).observe(
            status, {childList: true});
        const top = () => document.getElementById("bench-shows").getBoundingClientRect().top;
        const before = top() + scrollY;
        addEventListener("click", () => {
            window.shown = [getComputedStyle(sign).visibility, top() + scrollY - before];
        });
    }""")
    sign = bench.locator("#bench-busy")
    expect(sign).to_be_hidden()
    show(bench)

    expect(sign).to_be_hidden()
    assert page.evaluate("shown") == ["visible", 0]
    ours = [words for words in page.evaluate("seen") if "ork" in words]
    assert ours == ["Working it out …", "What the trials show is worked out."]


def test_the_charts_are_drawn_from_the_data(bench):
    show(bench)
    drawn = """(id) => {
        const root = drawing.figures.get(id);
        const [x, y] = [root.x_range, root.y_range];
        return root.renderers.map((r) => r.data_source.length).concat([x.start, x.end]);
    }"""
    for _ in range(WORKED_OUT_MS // 50):
        curves = bench.page.evaluate(drawn, "chart-emergence")
        if curves[-1] != 10:
            break
        bench.page.wait_for_timeout(50)  # charts follow after the answer

    assert curves[:2] == [8, 8] and curves[-2:] == pytest.approx([0, 13.2])


def test_one_press_takes_the_trial_over_and_undo_puts_it_back(bench):
    show(bench)
    page = bench.page
    price = page.locator("#verdicts")
    before = price.text_content()
    bench.get_by_role("button", name=re.compile("^Use in the .*Bulk potting mix")).click()
    expect(price).not_to_have_text(before, timeout=WORKED_OUT_MS)
    page.get_by_role("button", name="Undo").click()

    expect(price).to_have_text(before)


def test_growing_time_is_said_in_days_and_one_press_takes_it_into_the_plan(bench):
    show(bench)
    page = bench.page
    expect(bench.locator("#bench-uses")).to_contain_text(
        "tomato in Home blend comes to size 3 days later, likely between"
    )
    pace = page.locator("[data-path='media[2].pace']")
    expect(pace).to_have_value("")
    bench.get_by_role("button", name=re.compile("^Use in the .*Home blend")).click()

    expect(pace).to_have_value("1.08")
    page.get_by_role("button", name="Undo").click()
    expect(pace).to_have_value("")


def test_a_table_is_pasted_and_its_bad_row_named(bench):
    bench.locator("#bench-paste > summary").click()
    table = bench.get_by_role("textbox", name="Table")
    table.fill("mix\tsown\tday 6\nSeed starter mix\t5\t4\n\t5\t1")
    bench.get_by_role("button", name="Add these pots").click()

    expect(bench.locator("#pot-3")).to_be_attached()
    expect(bench.locator("#bench-pasted")).to_contain_text("Row 3 is left out: the mix is missing.")
    expect(table).to_have_value("")


def test_the_trials_are_saved_as_csv(bench):
    with bench.page.expect_download() as saving:
        bench.get_by_role("button", name="Save as CSV").click()

    assert saving.value.suggested_filename.endswith("-trials.csv")


def test_nothing_is_wider_than_a_phone_and_counts_are_large_enough(bench):
    show(bench)

    assert bench.page.evaluate("document.documentElement.scrollWidth") <= 390
    for field in bench.locator(".tally input").all():
        assert field.bounding_box()["height"] >= 44
