"""The page as HTML: every field labelled, every id once, every text escaped, nothing inline."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

import view
from compare.view import PARTS
from notes.words import CARE, METHOD, TRIAL
from page.fields import Fields
from pennyflat_display.chart_parts import steady
from pennyflat_display.figures import HATCHES
from pennyflat_display.figures.parts import DARK, LIGHT
from pennyflat_display.money import currency_of
from reader import words
from share import keeping, sharing
from view import Charts, Page, initial_fragments, render_page
from work.entry import FIELDS, place, steps
from work.state import Work

WEBAPP = Path(words.__file__).parents[1]


class Elements(HTMLParser):
    """Every start tag with its attributes, and the text of each label and button."""

    def __init__(self, html):
        super().__init__()
        self.found, self.text, self._open = [], {}, []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))
        if tag in ("label", "button", "summary", "legend"):
            self._open.append((tag, len(self.found) - 1))

    def handle_endtag(self, tag):
        if self._open and self._open[-1][0] == tag:
            self._open.pop()

    def handle_data(self, data):
        for _, number in self._open:
            self.text[number] = self.text.get(number, "") + data

    def all(self, *tags):
        """(attributes, text) of each element of these kinds."""
        numbered = enumerate(self.found)
        return [(attrs, self.text.get(i, "")) for i, (tag, attrs) in numbered if tag in tags]


@pytest.fixture(scope="module")
def demo():
    return Elements(render_page())


def test_every_fragment_has_its_place_and_every_place_its_fragment(demo):
    places = [attrs["id"] for _, attrs in demo.found if "data-fragment" in attrs]

    assert sorted(places) == sorted(initial_fragments())


def test_the_page_holds_the_very_html_of_its_fragments():
    page = render_page()

    for name, html in initial_fragments().items():
        for part in re.split(r"(?<= data-fragment)[^<>]*>", html):  # others stand in between
            assert part in page, name


def test_every_id_stands_once(demo):
    ids = [attrs["id"] for _, attrs in demo.found if "id" in attrs]

    assert len(ids) == len(set(ids))


def test_every_field_has_a_label_with_words_in_it(demo):
    labels = {attrs["for"]: text for attrs, text in demo.all("label")}
    for attrs, _ in demo.all("input", "select", "textarea"):
        assert labels[attrs["id"]].strip(), attrs


def test_every_button_and_fold_says_what_it_does(demo):
    for attrs, text in demo.all("button", "summary"):
        assert (attrs.get("aria-label") or text).strip(), attrs
    for attrs, _ in demo.all("button"):
        assert attrs["type"] == "button" and "data-do" in attrs


def test_what_describes_a_field_exists(demo):
    ids = {attrs.get("id") for _, attrs in demo.found}
    for _, attrs in demo.found:
        for key in ("aria-describedby", "aria-labelledby"):
            assert set(attrs.get(key, "").split()) <= ids, attrs


def test_every_field_of_the_page_can_be_typed_in(demo):
    paths = [attrs["data-path"] for attrs, _ in demo.all("input", "select") if "data-path" in attrs]

    assert len(paths) > 100
    for path in paths:
        assert place(steps(path)) in FIELDS


def test_every_field_of_the_scenario_is_on_the_page():
    work = Work()
    work.handle({"do": "trial-example"})
    work.handle({"do": "copy", "path": "trials[0]"})
    work.handle({"do": "add", "path": "happened"})
    work.handle({"do": "type", "path": "trials[1].crop", "text": "lettuce"})
    work.handle({"do": "trial-show"})
    for rows in ("counts", "water", "looks"):
        work.handle({"do": "add", "path": f"trials[0].{rows}"})
    for path, text in {
        "sowings[0].remedy": "pot_on",
        "sowings[0].presprout": "yes",
    }.items():
        work.handle({"do": "type", "path": path, "text": text})
    work.handle({"do": "add", "path": "labour"})
    work.handle({"do": "type", "path": "sowings[0].container", "text": "own shape"})
    work.handle({"do": "type", "path": "lookup.rich", "text": "Bulk potting mix"})
    for card in ("calendar", "sights", "salts", "reckoner", "age", "two", "label"):
        work.handle({"do": "open", "text": card})
    html = "".join(Page().all(work).values())
    paths = {attrs["data-path"] for attrs, _ in Elements(html).all("input", "select", "textarea")
             if "data-path" in attrs}  # fmt: skip

    assert {place(steps(path)) for path in paths} == set(FIELDS)


def test_nothing_is_inline(demo):
    for tag, attrs in demo.found:
        assert tag not in ("script", "style", "iframe")
        assert not [key for key in attrs if key.startswith("on") or key == "style"]


def test_html_in_names_is_shown_as_text():
    work = Work()
    nasty = '<img src=x onerror="alert(1)">&amp;'
    for path in ("media[0].name", "sowings[0].crop", "stores[0].name", "ingredients[0].name",
                 "feed.name", "media[0].packages[0].price"):  # fmt: skip
        work.handle({"do": "type", "path": path, "text": nasty, "done": True})
        fragments = Page().all(work)
        assert "<img" not in "".join(fragments.values())
    assert "&lt;img" in fragments["mix-0"]


def test_a_wrong_entry_is_marked_and_described_at_its_field():
    work = Work()
    work.handle({"do": "type", "path": "media[0].packages[0].price", "text": "a lot"})

    card = Elements(Page().all(work)["mix-0-packages"])
    field = next(a for a, _ in card.all("input") if a["data-path"] == "media[0].packages[0].price")
    assert field["value"] == "a lot" and field["aria-invalid"] == "true"
    assert field["aria-describedby"] == f"{field['id']}-fault"
    assert "standing" in Page().all(work) and field["id"] in Page().all(work)["standing"]


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        ("media[0].packages[0].price", "a lot", "“a lot” is not a number. Write one such as"),
        ("sowings[0].germination", "0", "0 does not fit. Write a percentage from 0.1 to 100, or"),
        ("media[0].fill_loss", "-1", "-1 does not fit. Write a percentage from 0 to 100."),
        ("media[0].fill_loss", "100", "100 does not fit. Write a percentage below 100."),
        (
            "media[0].packages[0].price",
            "99999999999999",
            "99,999,999,999,999 is too large; write at most 1,000,000,000.",
        ),
        ("sowings[0].wanted", "2,5", "2.5 is not a whole number"),
        ("media[0].name", "Home blend", "Another row has this name"),
        ("media[0].packages[0].size", "0", "0 is too small; write a number more than 0"),
        (
            "feed.packages[0].size",
            "32 fl oz",
            "fill in “or dose, liquid feed (mL/L)” under “How strong and how often” and clear"
            " “Strength wanted (ppm N)”.",
        ),
    ],
)
def test_what_is_wrong_is_said_in_the_terms_of_the_field(path, text, said):
    work = Work()
    work.handle({"do": "type", "path": path, "text": text})

    assert said in "".join(Page().all(work).values())


def test_quarts_are_taken_as_dry_said_so_and_the_other_offered():
    card = Page().all(Work())["mix-0-packages"]

    assert "Taken as dry quarts, the measure for dry goods: 8.81 L." in card
    assert "Use liquid quarts (7.57 L)" in card
    assert "$0.670 a litre" in card


def test_amounts_follow_the_currency():
    work = Work()
    work.handle({"do": "type", "path": "currency", "text": "EUR"})
    fragments = Page().all(work)

    assert "€0.670 a litre" in fragments["mix-0-packages"]
    assert 'value="5.90"' in fragments["mix-0-packages"]
    work.handle({"do": "type", "path": "currency", "text": "JPY"})
    assert "¥15<" in Page().all(work)["bay-2"]


def test_the_lines_for_one_crop_add_up_to_what_it_costs_at_the_till():
    bay = Page().all(Work())["bay-1"]
    lines = re.findall(r'class="sum">\$([0-9.]+)<', bay)

    assert "Trips" in bay
    assert f"${sum(map(float, lines)):.2f} at the till" in bay


def test_a_mix_that_stalls_is_not_ready_with_week_reason_and_rescue():
    work = Work()
    work.handle({"do": "type", "path": "sowings[0].remedy", "text": "none"})
    fragments = Page().all(work)

    assert "Not ready" in fragments["table-0"] and "stalls in week 3" in fragments["table-0"]
    assert "Seed starter mix runs out of fertiliser in week 3." in fragments["rescues"]
    assert "Bulk potting mix from the start would do, at $0." in fragments["rescues"]
    assert "Seed starter mix not ready" in fragments["cost-said"]


def test_an_edit_sends_only_what_it_changed():
    work, page = Work(), Page()
    page.all(work)
    work.handle({"do": "type", "path": "media[0].packages[0].price", "text": "6"})

    news = page.changed(work)

    assert {"mix-0-packages", "mix-0-gist", "table-0", "bay-0"} <= news.keys()
    others = {
        "mix-0",
        "mix-1-packages",
        "bay-1",
        "sowing-0",
        "feed",
        "rest",
        "cost-key",
        "choice",
    }
    assert not others & news.keys()
    assert page.changed(work) == {}


def test_what_could_not_be_rendered_is_rendered_the_next_time(monkeypatch):
    work, page = Work(), Page()
    with monkeypatch.context() as broken:
        broken.setattr(view, "render", lambda *_, **__: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            page.changed(work)

    assert page.all(work) == Page().all(work)


@pytest.mark.parametrize(
    ("share", "chosen"),
    [(None, "nothing"), (0.5, "half of it"), (1, "all of it"), (0.3, "30 % of it")],
)
def test_how_much_of_the_leftovers_is_used_is_chosen_among_three(share, chosen):
    document = {"left_over_counts": share}
    field = Fields((), document, (), currency_of("USD")).field("left_over_counts")

    ((_, options),) = field.options
    assert dict(options)[field.text] == chosen
    assert [words for _, words in options][:3] == ["nothing", "half of it", "all of it"]


def test_a_sowing_picks_its_tray_by_name_or_none_and_a_removed_one_is_named():
    work = Work()
    work.handle({"do": "remove", "path": "trays[1]"})
    card = Page().all(work)["sowing-1"]

    assert '<option value="">no tray</option><option value="72 cells">72 cells</option>' in card
    assert '<option value="128 cells" selected>128 cells (no longer listed)</option>' in card
    assert [fault.path for fault in work.faults] == ["sowings[1].tray"]


def test_the_empty_start_shows_at_most_eight_fields():
    work = Work()
    work.handle({"do": "empty"})
    fragments = Page().all(work)
    open_at_first = ("sowing-0", "mix-0-packages", "mix-1-packages")

    fields = [
        part
        for name in open_at_first
        for part in Elements(_unfolded(fragments[name])).all("input", "select")
    ]
    blank = [attrs for attrs, _ in fields if attrs.get("value") == ""]
    assert len(blank) == 8  # two of them, cell and weeks, follow from the crop


def _unfolded(html):
    """What is visible while every fold inside is shut."""
    while "<details" in html:
        html = re.sub(r"<details(?:(?!<details).)*?</details>", "", html, flags=re.S)
    return html


def test_no_text_is_missing_and_none_is_unused():
    sources = [*WEBAPP.rglob("*.py"), *WEBAPP.glob("templates/*.html"), *WEBAPP.glob("shell/*.js")]
    sources += (WEBAPP.parent / "core" / "pennyflat_display").glob("*.py")
    source = "".join(p.read_text("utf-8") for p in sources if not p.stem.endswith("words"))
    asked = set(re.findall(r'\bt(?:ext)?\(\s*"([\w.\[\]{}]+)"', source))
    built = {"label.", "hint.", "placeholder.", "unit.", "short.", "remedy.", "measure.", "column.",
             "taken.", "table.", "undo.", "units.", "known.", "of.", "form.",
             "kind.", "holder.", "step.", "fact.", "way.", "method.", "plan.",
             "ask.", "matters.", "by.", "drawn.", "errand.", "past.", "trouble.", "becomes.",
             "chart_file.", "two.", "bench.counts", "bench.water", "bench.looks", "leaves.",
             "offer_act.", "offer_from.", "prices_head.", "order_head.", "order_csv.",
             "goods.", "verdict.",
             "place.", "working.", "watch.", "sheet_head.", "order_split.",
             "list.", "missing.", "new.", "start.", "wrong.", "update.",
             "fault.", "used."}  # fmt: skip

    whole = {key for key in asked if not key.endswith(".")}
    assert whole <= set(words.CATALOGUE), whole - set(words.CATALOGUE)
    quoted = set(re.findall(r"""["']([a-z_]+\.[\w.\[\]{}]+)["']""", source))
    quoted |= {"emergence.short", "survival.short"}  # asked for in words.py itself
    quoted |= {*METHOD, *TRIAL, *CARE}  # named in the notes' words
    quoted |= {f"{key}.us" for key in re.findall(r'in_units\("([\w.]+)"', source)}
    unused = [k for k in words.CATALOGUE if k not in quoted and not k.startswith(tuple(built))]
    assert unused == []


def test_every_field_has_a_label_in_words():
    labels = [key for key in words.CATALOGUE if key.startswith("label.")]

    assert {key.removeprefix("label.") for key in labels} == set(FIELDS)


def test_the_bars_add_up_to_the_total_and_stand_on_each_other():
    work = Work()
    bars = Charts().news(work)["chart-cost bars"]["data"]

    assert bars["name"] == ["Seed starter mix", "Bulk potting mix", "Home blend"]
    for i, row in enumerate(work.report["comparisons"][:3]):
        assert bars["medium from"][i] == 0
        assert bars["feed from"][i] == bars["medium to"][i] == row["as_used"]["medium"]
        assert bars["end"][i] == pytest.approx(row["as_used"]["total"])


def test_an_axis_grows_and_shrinks_in_round_steps():
    assert steady(1, 3.1) == 4 and steady(4, 3.1) == 4 and steady(4, 0.9) == 1
    assert steady(4, 0) == 4


def test_both_charts_tell_parts_apart_without_colour():
    assert set(HATCHES) == set(PARTS) and len(set(HATCHES.values())) == len(PARTS)
    assert set(LIGHT) == set(DARK)


@pytest.mark.parametrize(
    "source, found, limit",
    [
        ("shell/keep.js", r"MOST_PAST = (\w+);", keeping.MOST_PAST),
        ("templates/desk.html", r'"keep.what", count=(\w+)', keeping.MOST_PAST),
        ("shell/files.js", r"LONGEST_FILE = (\w+);", sharing.LONGEST_FILE),
    ],
)
def test_scripts_and_templates_have_the_limits_of_python(source, found, limit):
    [number] = re.findall(found, (WEBAPP / source).read_text("utf-8"))
    assert int(number) == limit
