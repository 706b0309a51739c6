"""The answer of a trial: one sentence, and no other sentence that advises differently."""

import random

import pytest

from pennyflat.chances.contest import chances_best, posterior, seeds_to_be_sure
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.trials.answer import answer_of
from pennyflat.trials.report import trial_report
from pennyflat.trials.words import trial_lines

SHELF = [mix["name"] for mix in DEMO["media"]]
CHOOSE, MORE, MEASURE = "choose now", "would settle it", "before you choose"
NEXT = "to measure next", "to make next"


def random_trial(rng):
    """Pots of one crop in some mixes, counted, and sometimes observed and fed."""
    crop = rng.choice(["tomato", "lettuce", "leek"])
    mixes = rng.sample([*SHELF, "Last year's mix"], rng.randint(1, 4))
    pots = []
    for mix in mixes:
        quality, growth = rng.random(), rng.choice([6, 15, 20, 22])
        for _ in range(rng.choice([1, 1, 2])):
            sown = rng.choice([5, 10, 40, 400])
            up = sum(rng.random() < quality for _ in range(sown)) if sown < 400 else round(
                quality * sown
            )  # fmt: skip
            looks = [
                {"week": week, "height_mm": growth * week + rng.randint(0, 4),
                 "leaves": rng.choice(["green", "green", "green", "yellowing"])}
                for week in range(2, 7)
            ]  # fmt: skip
            pot = {"medium": mix, "crop": crop, "sown": sown}
            pot["counts"] = [{"day": 9, "emerged": up}]
            pot |= {"looks": looks} if rng.random() < 0.4 else {}
            pot |= {"fed_in_weeks": [4]} if rng.random() < 0.3 else {}
            pots.append(pot)
    plan = DEMO | {"trials": pots}
    if rng.random() < 0.3:
        plan |= {"feed": None}
    if rng.random() < 0.3:
        own = ["fill_loss", "feeds_for_weeks"]
        plan |= {"media": [mix | {"measured": own} for mix in DEMO["media"]]}
    if rng.random() < 0.3:
        plan |= {"sowings": [sowing | {"wanted": 2} for sowing in DEMO["sowings"]]}
    return plan


def advice_in(text):
    """Which ways to go on a text names."""
    return {words for words in (CHOOSE, MORE, MEASURE) if words in text}


def test_no_two_sentences_advise_differently():
    """Over random trials; each way to go on is met."""
    rng, met = random.Random(17), set()
    for _ in range(120):
        report = trial_report(read(random_trial(rng)))
        (crop,) = report["crops"]
        answer, said = crop["answer"], "\n".join(trial_lines(report))
        advice, named = advice_in(said), any(words in said for words in NEXT)
        met |= advice

        assert advice == advice_in(answer["sentence"]) and len(advice) <= 1
        assert said.count(answer["sentence"]) == 1
        assert named == (MEASURE in advice) == (answer["next"] is not None)
        assert (answer["more_seeds"] is not None) == (MORE in advice)
        if answer["next"]:
            assert answer["next"] == crop["money"][0]["first"]
            assert answer["next"]["medium"] in answer["sentence"]
        unfit = {m["medium"] for m in crop["mixes"] if m["growth"] and m["growth"]["unfit"]}
        assert answer["leader"] not in unfit
        if answer["by"] == "cost":
            mixes = crop["money"][0]["mixes"]
            best = max(mixes, key=lambda mix: mix["cheapest_chance"])
            assert best["medium"] == answer["leader"]
            assert not unfit & {mix["medium"] for mix in mixes}

    assert met == {CHOOSE, MORE, MEASURE}


def money(first=None, everything=1.5, chances=(0.7, 0.3)):
    mixes = [
        {"medium": mix, "cheapest_chance": chance}
        for mix, chance in zip(("Fine", "Bulk"), chances, strict=True)
    ]
    return {"mixes": mixes, "first": first, "everything_worth": everything, "test_seeds": 20}


def measure(what):
    return {"medium": "Bulk", "measure": what, "worth": 0.62}


COUNTED = {"Fine": (9, 10), "Bulk": (8, 10)}


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (money(measure("emergence")), "more seeds in Bulk before you choose are worth 0.62 EUR"),
        (money(measure("charge")), "to see how long Bulk feeds before you choose is worth up to"),
        (money(measure("fill")), "to measure what Bulk loses in filling before you choose is"),
        (money(), "%), and no single measurement would pay: choose now."),
        (money(chances=(0.96, 0.04)), "Fine makes the cheapest ready leek of the 2 mixes tried"),
        (money(chances=(0.999, 0.001)), "(chance more than 99\N{NO-BREAK SPACE}%): choose now."),
        (money(everything=None), "though none is sure to be ready."),
        (money(everything=None, chances=(0, 0)), "In none of the 2 mixes tried is leek sure to be"),
    ],
)  # fmt: skip
def test_each_answer_about_money_has_its_sentence(found, said):
    assert said in answer_of("leek", COUNTED, found, "EUR")["sentence"]


@pytest.mark.parametrize(
    ("counted", "unfit", "said"),
    [
        ({"Fine": (48, 50), "Bulk": (20, 50)}, (), "Fine brings up the most leek of the 2 mixes"),
        ({"Fine": (5, 5), "Bulk": (4, 5)}, (), "about 7 more seeds in each would settle it."),
        ({"Fine": (4, 5), "Bulk": (4, 5)}, (), "would not part them: choose by price."),
        ({"Fine": (0, 5), "Bulk": (0, 5)}, (), "No leek came up in any mix tried."),
        ({"Fine": (17, 20)}, (), "Only Fine can be judged: likely between 65 and 96 % of the"),
        ({"Fine": (17, 20), "Bulk": (9, 9)}, ("Bulk",), "Only Fine can be judged"),
    ],
)  # fmt: skip
def test_each_answer_about_what_comes_up_has_its_sentence(counted, unfit, said):
    assert said in answer_of("leek", counted, None, "EUR", unfit)["sentence"]


def test_what_comes_up_is_judged_jointly_and_by_the_seeds_that_would_settle_it():
    counted = {"Fine": (9, 10), "Bulk": (7, 10), "Lean": (6, 10)}
    known = [posterior(*count) for count in counted.values()]
    answer = answer_of("leek", counted, None, "EUR")

    assert answer["chance"] == pytest.approx(max(chances_best(known)))
    assert answer["more_seeds"] == seeds_to_be_sure(known)
    assert answer_of("leek", {}, None, "EUR") is None
