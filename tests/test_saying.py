"""Sentences of the core keep their templates, and every template can be found in the source."""

import ast
import copy
import json
import pickle
import random
import re
from dataclasses import fields, is_dataclass, replace
from datetime import date
from pathlib import Path
from string import Formatter

import pytest

import pennyflat
from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import shop
from pennyflat.buying.worth import worth_of
from pennyflat.chances import proportion
from pennyflat.club.pool import PoolError, pool
from pennyflat.comparing import assumptions, bag_sizes
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.growing import feeding, gentle_start, lean_mixes, remedies, schedule
from pennyflat.scenario import records
from pennyflat.scenario.checking import show
from pennyflat.scenario.document import ScenarioError, check, parse, read, write
from pennyflat.scenario.link import LinkError, decode, encode
from pennyflat.sentences import GLUE, Listed, Money, Said, phrase, say, say_count
from pennyflat.trade import crops, facts
from pennyflat.trade.bag import PROMISES
from pennyflat.trade.columns import HEADS
from pennyflat.trade.label import ASSUMED, SIGNS, SPELLINGS, read_size
from pennyflat.trade.price_list import read_price_list
from pennyflat.trials import table as trial_table
from pennyflat.trials.report import trial_report
from pennyflat.trials.table import read_table
from pennyflat.trials.words import charge_of, pairs_of, replicates_of, speed_of, trial_lines
from pennyflat.units import CUSTOMARY
from pennyflat.working.of_crop import working_of
from pennyflat.working.receipt import working_of_plan
from tests import strategies
from tests.test_link import link_of
from webapp.build.texts.catalogues import templates_in

CORE = Path(pennyflat.__file__).parent
TEMPLATES = {template for template, _ in templates_in(CORE)}

CODES = {
    *crops.OUTCOMES, *facts.KINDS, *records.FORMS, *schedule.STEPS, *remedies.COSTS, *GLUE,
    "straight in", "pre-sprouted", "lean mix first", "whole packages", "of the dose",
    "of the price",
}  # fmt: skip
"""Keys of several words, which a page looks up and never shows."""

ENGLISH_ONLY = {
    "cli/command.py",
    "cli/files.py",
    "demo.py",
    "scenario/earlier_formats.py",
    "scenario/export.py",
    "cli/printout.py",
}
"""The command line, the example, spreadsheets and names given to earlier trays stay English."""

MET_BY_PEOPLE = {"columns.py", "link.py", "pool.py", "price_list.py", "document.py", "table.py"}
"""Modules whose errors a user of the page can meet; those of the others only programmers see."""


def all_names(document):
    """Every text in a document, also the keys, since crops are keys of `emergence`."""
    if isinstance(document, dict):
        return {name for pair in document.items() for part in pair for name in all_names(part)}
    if isinstance(document, list):
        return {name for part in document for name in all_names(part)}
    return {document} if isinstance(document, str) else set()


def unsaid(value, names):
    """Texts of several words in a report that no catalogue could have."""
    if isinstance(value, Said):
        if value.template not in TEMPLATES:
            yield value.template
        yield from unsaid(value.gaps, names)
    elif isinstance(value, str):
        if re.search(r"\s", value) and value not in names | CODES:
            yield value
    elif isinstance(value, Listed):
        yield from unsaid(value.items, names)
    elif isinstance(value, dict):
        yield from (text for part in value.values() for text in unsaid(part, names))
    elif isinstance(value, list | tuple | set):
        yield from (text for part in value for text in unsaid(part, names))
    elif is_dataclass(value) and not isinstance(value, Money):
        yield from unsaid([getattr(value, f.name) for f in fields(value)], names)


def sayings(value):
    """Every `Said` in a report, those in the gaps of others too."""
    if isinstance(value, Said):
        yield value
        yield from sayings(value.gaps)
    elif isinstance(value, dict):
        yield from (said for part in value.values() for said in sayings(part))
    elif isinstance(value, list | tuple):
        yield from (said for part in value for said in sayings(part))
    elif isinstance(value, Listed) or is_dataclass(value):
        yield from sayings([getattr(value, f.name) for f in fields(value)])


def everything_said(found):
    """All reports on one scenario, and every answer at the shelf."""
    yield compare(found)
    yield shop(found)
    planner = Planner(found)
    plan = run(planner.best(), solve)
    yield working_of_plan(found, plan)
    for number, medium in enumerate(found.media):
        for package in range(len(medium.packages)):
            yield run(worth_of(planner, plan, ("media", number, package)), solve)
    for sowing in found.sowings:
        for medium in found.media:
            yield working_of(found, sowing, medium)
            yield assumptions.what_matters(found, sowing, medium)
            yield bag_sizes.big_bag(found, sowing, medium, up_to=200)
            yield bag_sizes.next_year(found, replace(medium, next_year_share=0.8), 9.0)
            yield bag_sizes.next_year(found, medium, 9.0)
            yield bag_sizes.unit_price_ladder(found, medium) if medium.packages else None
            yield lean_mixes.remedies_compared(found, sowing, medium)
            yield [
                remedies.price_of(found, sowing, medium, cost_from, pot_ml=381)
                for cost_from in remedies.COSTS
            ]
            yield schedule.calendar(found, sowing, medium, date(2027, 5, 20), emergence_days=6)
        for loser in found.media[1:]:
            yield gentle_start.gentle_starts(found, sowing, found.media[0], loser)


SCENARIOS = [
    read(DEMO),
    replace(read(DEMO), feed=None, energy=None),
    replace(read(DEMO), media=(), sowings=read(DEMO).sowings),
    *(strategies.random_scenario(random.Random(seed), media=3, sowings=3) for seed in range(6)),
]


@pytest.mark.parametrize("found", SCENARIOS, ids=range(len(SCENARIOS)))
def test_every_sentence_of_the_reports_can_be_translated(found):
    names = all_names(write(found))

    for report in everything_said(found):
        assert list(unsaid(report, names)) == []


def test_every_sentence_on_an_order_can_be_translated():
    demo = read(DEMO)
    few = [replace(bag, limit=1) for bag in demo.media[0].packages]
    mix = replace(demo.media[0], packages=tuple(few))
    tight = replace(demo, media=(mix, *demo.media[1:]), sowings=demo.sowings[:1])
    shouted = replace(demo.media[0], name=mix.name.upper())
    other = replace(demo, title="", media=(shouted, *demo.media[1:]))
    names = all_names(DEMO) | {shouted.name}

    picky = replace(demo.sowings[0], medium="Bulk potting mix")
    keeps = replace(demo, sowings=(picky, *demo.sowings[1:]), left_over_counts=0.5)

    for members in ([demo, other], [tight, tight, tight], [demo, keeps]):
        for split in ("shapley", "equal"):
            report = pool(members, split=split)
            assert list(unsaid(report, names)) == []
    with pytest.raises(PoolError) as caught:
        pool([demo, replace(demo, currency="EUR", tax=0.5), replace(demo, media=(mix,))])

    assert list(unsaid(caught.value.differences, names)) == []
    assert list(unsaid(str(caught.value), names)) == []
    assert len(caught.value.differences) > 2


def test_every_sentence_on_trials_can_be_translated():
    pots = [
        {"medium": mix, "crop": crop, "sown": 10, "counts": [{"day": 5, "emerged": up // 2},
         {"day": 9, "emerged": up}], "water": [{"minute": 2, "ml": 20 + up},
         {"minute": 10, "ml": 50}], "looks": looks}
        for mix, ups in (("Seed starter mix", (9, 2)), ("Bulk potting mix", (8, 8)),
                         ("Home blend", (7,)))
        for up in ups
        for crop in ("tomato", "leek")
        for looks in ([], [{"week": 2, "leaves": "green"}, {"week": 4, "leaves": "yellowing"}])
    ]  # fmt: skip
    report = trial_report(read(DEMO | {"trials": pots}))
    lines = trial_lines(report)
    for crop in report["crops"]:
        lines += pairs_of(crop) + [replicates_of(found) for found in crop["replicates"]]
        lines += [line for mix in crop["mixes"] for line in speed_of(mix) + charge_of(mix)]

    assert list(unsaid(report, all_names(DEMO))) == []
    assert list(unsaid(lines, all_names(DEMO))) == []
    assert len({said.template for said in sayings(lines)}) > 10


BROKEN = (
    DEMO | {"tax": 19, "budget": "much", "currency": "dollars", "title": "a\nb", "colour": "red"},
    DEMO | {"media": [{}, 5, {"name": "", "packages": [], "parts": []}], "stores": "none"},
    DEMO | {"feed": {"name": "x" * 300, "per_week": 0}, "last_frost": "2027-02-30"},
    DEMO | {"feed": DEMO["feed"] | {"g_per_litre": 1}, "ingredients": DEMO["ingredients"] * 2},
    DEMO | {"sowings": [DEMO["sowings"][0] | {"remedy": "pot_on", "medium": "No mix",
                                                  "wanted": 1.5, "seeds_per_cell": 1000}]},
    DEMO | {"media": [{"name": "Meal", "feeds_for_weeks": 1, "shrink": 0.1,
                       "packages": [{"store": "Nowhere", "size": 2, "unit": "kg", "price": 1}]}]},
    DEMO | {"trials": [{"medium": "A", "crop": "b", "sown": 4, "abnormal": 3,
                        "counts": [{"day": 4, "emerged": 5}, {"day": 4, "emerged": 2}]}]},
    DEMO | {"sowings": DEMO["sowings"] * 80, "last_frost": "3027-02-01", "feed": []},
)  # fmt: skip


@pytest.mark.parametrize("document", BROKEN)
def test_every_fault_can_be_translated(document):
    faults = check(document)
    shown = {show(name) for name in all_names(document)}

    assert faults
    assert list(unsaid([fault.message for fault in faults], shown)) == []
    assert all(isinstance(str(fault), Said) for fault in faults)


@pytest.mark.parametrize("source", ["", "[1, 2", b"\xff", "[" * 9999, '{"a": 1, "a": 2}'])
def test_what_is_wrong_with_a_file_can_be_translated(source):
    with pytest.raises(ScenarioError) as caught:
        parse(source)

    for fault in caught.value.faults:
        assert fault.message.template in TEMPLATES
    assert str(caught.value).template in TEMPLATES


def test_what_is_wrong_with_a_link_can_be_translated():
    link = encode(DEMO)
    broken = json.dumps(DEMO | {"tax": 19, "title": 5, "stores": 7, "media": 8}).encode()
    deep = b"[" * 99
    damaged = link[:90] + ("A" if link[90] != "A" else "B") + link[91:]

    large = b" " * 2_000_000
    sealed = [link_of(source) for source in (broken, deep, large)]
    for text in ("", "pf9." + link[4:], link[:200], damaged, "x" * 200_000, *sealed):
        with pytest.raises(LinkError) as caught:
            decode(text)
        said = str(caught.value)
        assert {one.template for one in sayings(said)} <= TEMPLATES
        assert isinstance(said, Said)


@pytest.mark.parametrize(
    "source",
    [
        "one column only",
        "a,5 L,5,20\nb,6 L,7,30\nc,5 L,6,80\n",
        "Mix;Bag;Price;Deal;Limit\n"
        "Fine mix;8 quarts;5,20;;\nFine mix;8 quarts;6;;\nB;9;6;;\nC;1 L;x;;\n"
        "D;1 L;3;lots;\nE;a lot;4;;\n;1 L;4;;\nF;;4;;\nG;1 L;;;\nH;1 L;3;;few\nI;0 L;3;;\n"
        "J;1 L;3;;;;;1\n" + "K" * 400 + ";1 L;3;;\n",
        "Mix\tBag\tPrice\nFine mix\t1,250 L\t5\n",
        "Fine mix\t1 L\t5\n" * 3000,
    ],
)
@pytest.mark.parametrize("store", ["", "Lane"])
def test_every_sentence_on_a_price_list_can_be_translated(source, store):
    try:
        found = read_price_list(source, store=store)
    except ValueError as refused:
        assert str(refused).template in TEMPLATES
        return
    said = [row.notices for row in found.rows] + [row.reason for row in found.aside]
    cells = {cell for line in source.splitlines() for cell in re.split("[;\t]", line)}

    assert list(unsaid(said, cells)) == []
    assert all(isinstance(row.reason, Said) for row in found.aside)
    assert said


def test_every_problem_of_a_pasted_table_can_be_translated():
    table = (
        "Mix,Crop,Sown,day 5,day 9,Abnormal\nA,leek,5,2,4,\nA,leek,5,4,2,\n,leek,5,1,2,\n"
        "A,,5,1,2,\nA,leek,,1,2,\nA,leek,five,1,2,\nA,leek,5,x,2,\nA,leek,5,1,2,4\nA,leek,0,1,1,\n"
    )
    long = "Mix,Crop,Sown,day,up\nA,leek,5,5,\n"
    problems = [read_table(text).problems for text in (table, long, "", "what,is,this\n1,2,3")]

    assert list(unsaid(problems, set())) == []
    assert all(isinstance(problem, Said) for found in problems for problem in found)
    assert [len(found) for found in problems] == [8, 1, 1, 1]


def test_what_the_tables_cannot_tell_can_be_translated():
    row = crops.EmergenceRow
    pepper = [row("pepper", 10, "no germination", None), row("pepper", 15, "not tested", None),
              row("pepper", 20, "emerged", 13.0)]  # fmt: skip
    said = [
        *(crops.days_to_emergence(pepper, "pepper", t).why_not for t in (5, 10, 12, 15, 17)),
        crops.days_to_emergence(pepper, "kale", 10).why_not,
        feeding.addition_feeds_for(
            4, 8, 60, released=(0.5, 0.5), ppm_n=100, per_week=2, ml_per_cell=15
        ).assumption,
        read_size("8 quarts").notice,
        proportion.compare_replicates((8, 9), 10).source,
    ]

    assert list(unsaid(said, set())) == []
    assert all(isinstance(sentence, Said) for sentence in said)


WORDS = re.compile(r"[^\W\d_]{2}[,.:;]? [^\W\d_]|\} [^\W\d_]{2}|[^\W\d_]{2} \{")
"""Two words, or a word beside a gap."""


def words_in(node):
    """The text of a string in the source, its gaps left empty."""
    if isinstance(node, ast.JoinedStr):
        return "".join(p.value if isinstance(p, ast.Constant) else "{}" for p in node.values)
    return node.value


def is_aside(node, path):
    """Whether the strings in a part of the source are never shown, or are templates."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)  # a docstring
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) in {"say", "say_count", "phrase", "unclear", "re.compile"}
    return isinstance(node, ast.Raise) and path.name not in MET_BY_PEOPLE


def test_no_words_in_the_source_go_unsaid():
    """The reports above need not reach every sentence; this looks at all there are."""
    known = CODES | set(SPELLINGS.values()) | set(HEADS.values())
    known |= set(SIGNS.values())
    known |= {words for promise in PROMISES for words in promise[:2]} | {"potting mix"}
    known |= {words for words, _ in ASSUMED.values()} | set(CUSTOMARY)
    known |= {word for words in trial_table.HEADS.values() for word in words}
    known |= {*trial_table._ONCE, *trial_table._SERIES, trial_table.FED}
    for path in sorted(
        p for p in CORE.rglob("*.py") if p.relative_to(CORE).as_posix() not in ENGLISH_ONLY
    ):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        aside = {part for node in ast.walk(tree) if is_aside(node, path) for part in ast.walk(node)}
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                aside |= set(ast.walk(node)) - {node}
        strings = (
            node
            for node in set(ast.walk(tree)) - aside
            if isinstance(node, ast.JoinedStr) or isinstance(getattr(node, "value", None), str)
        )
        unsaid_here = {
            f"{path.name}:{node.lineno}: {words_in(node)}"
            for node in strings
            if WORDS.search(words_in(node)) and words_in(node) not in known
        }

        assert unsaid_here == set()


def test_templates_have_named_gaps_only():
    for template in TEMPLATES:
        gaps = [name for _, name, _, _ in Formatter().parse(template) if name is not None]
        assert all(name.isidentifier() for name in gaps), template


def test_a_template_that_is_no_literal_is_refused(tmp_path):
    (tmp_path / "glued.py").write_text(
        "from pennyflat.sentences import say\ncrop = 'leek'\nsay(f'{crop} is up')\n"
    )

    with pytest.raises(ValueError, match=r"glued\.py:3"):
        templates_in(tmp_path)


def test_every_template_of_a_choice_is_found(tmp_path):
    (tmp_path / "chosen.py").write_text(
        "from pennyflat.sentences import say\n"
        "say({1: 'one pot', 2: 'two pots' if dry else 'two wet pots'}[pots])\n"
    )

    assert [template for template, _ in templates_in(tmp_path)] == [
        "one pot", "two pots", "two wet pots",
    ]  # fmt: skip


def test_templates_of_other_functions_of_that_name_are_passed_over(tmp_path):
    (tmp_path / "own.py").write_text("from webapp.build.environment import say\nsay(f'{1} step')\n")
    (tmp_path / "both.py").write_text(
        "from pennyflat.sentences import phrase as word, say_count\n"
        "say_count(n, '{n} pot', '{n} pots', n=n)\nword('tray')\n"
    )

    found = [(template, "both.py") for template in ("{n} pot", "{n} pots", "tray")]
    assert templates_in(tmp_path) == found


@pytest.mark.parametrize(
    "same",
    [copy.copy, copy.deepcopy, str, lambda said: pickle.loads(pickle.dumps(said))],
    ids=["copy", "deepcopy", "str", "pickle"],
)
def test_what_is_said_survives_being_copied(same):
    inner = say_count(1, "{n} pot", "{n} pots", n=1)
    said = say("{pots} for {price}: {crops}.", pots=inner, price=Money(0.5, "EUR"),
               crops=Listed(("leek", phrase("chives")), "or"))  # fmt: skip
    again = same(said)

    assert again == said == "1 pot for 0.500 EUR: leek or chives."
    assert hash(again) == hash("1 pot for 0.500 EUR: leek or chives.")
    assert (again.template, again.gaps) == (said.template, said.gaps)
    assert again.gaps["pots"].template == "{n} pot"
    assert json.dumps([again]) == '["1 pot for 0.500 EUR: leek or chives."]'


@pytest.mark.parametrize(
    ("count", "glue", "text"),
    [(0, "and", ""), (1, "and", "a"), (2, "or", "a or b"), (3, "and", "a, b and c"),
     (3, ";", "a; b; c"), (2, " ", "a b"), (2, "\n", "a\nb")],
)  # fmt: skip
def test_things_in_a_row(count, glue, text):
    assert str(Listed(tuple("abc"[:count]), glue)) == text
