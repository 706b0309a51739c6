"""Odd inputs come to an end, and soon: no endless loop, no list as long as a number is large."""

import math
import random
import time
import tracemalloc

import pytest

from pennyflat.chances import beta, proportion
from pennyflat.chances.beta import MOST, beta_density, beta_quantile, binomial_pmf, regularized_beta
from pennyflat.chances.contest import Posterior, chances_best, posterior, seeds_to_be_sure
from pennyflat.chances.germination import curve_band, half_emergence, mean_emergence
from pennyflat.chances.probability import MOST_TRIALS, fewest_trials
from pennyflat.chances.proportion import compare_replicates, fisher_exact
from pennyflat.chances.stakes import between, cases, chances_cheapest, cost_band
from pennyflat.demo import DEMO
from pennyflat.scenario.document import check, read
from pennyflat.trials.report import trial_report

NAN, INF = math.nan, math.inf
MILLION = 1_000_000
"""As many seeds as a pot may have in a scenario."""


@pytest.mark.parametrize(
    "ask",
    [
        lambda: binomial_pmf(10, NAN, 5),
        lambda: binomial_pmf(NAN, 0.5, 5),
        lambda: binomial_pmf(INF, 0.5, 5),
        lambda: binomial_pmf(10, INF, 5),
        lambda: regularized_beta(INF, 2, 0.5),
        lambda: regularized_beta(2, NAN, 0.5),
        lambda: regularized_beta(2, 2, NAN),
        lambda: regularized_beta(10 * MOST, 2, 0.5),
        lambda: beta_quantile(INF, 2, 0.5),
        lambda: beta_quantile(2, 2, NAN),
        lambda: beta_density(NAN, 2, 0.5),
        lambda: posterior(NAN, 5),
        lambda: posterior(5, NAN),
        lambda: chances_best([Posterior(5, INF), Posterior(1, 2)]),
        lambda: chances_best([Posterior(NAN, 2), Posterior(1, 2)]),
        lambda: seeds_to_be_sure([Posterior(5, NAN), Posterior(1, 2)]),
        lambda: fisher_exact(NAN, 5, 1, 5),
        lambda: fisher_exact(0, 0, 0, 0),
        lambda: compare_replicates((NAN, 2), 5),
        lambda: compare_replicates((0, 0), 0),
        lambda: curve_band(((3, NAN),), 5),
        lambda: curve_band(((3, 1),), 0),
        lambda: fewest_trials(NAN, 5, 0.9),
    ],
)
def test_what_is_no_count_or_chance_is_refused_and_not_looked_for(ask):
    with pytest.raises(ValueError):
        ask()


def test_days_that_are_no_numbers_give_none_back():
    assert math.isnan(half_emergence(((NAN, 3), (9, 4)))[1])
    assert math.isnan(mean_emergence(((NAN, 3), (9, 4)))[0])


def test_costs_that_are_no_numbers_come_to_an_end():
    assert len(cases(between(NAN, 1))) == 128
    assert len(cost_band([NAN, 1.0])) == 3
    assert len(chances_cheapest([[NAN, 1.0], [2.0, NAN]])) == 2


def test_a_scenario_takes_neither_nan_nor_more_seeds_than_a_million():
    for sown in (NAN, INF, -1, 0, MILLION + 1, 1e300):
        pot = {"medium": "Mix", "crop": "leek", "sown": sown}
        assert [fault.path for fault in check(DEMO | {"trials": [pot]})] == ["trials[0].sown"]


@pytest.fixture
def asked(monkeypatch):
    """Each chance of one outcome that is worked out."""
    found = []

    def counted(*values):
        found.append(values)
        return beta.binomial_pmf(*values)

    monkeypatch.setattr(proportion, "binomial_pmf", counted)
    return found


@pytest.mark.parametrize("emerged", [0, 3, 500_000, 999_990, MILLION])
def test_a_million_seeds_take_thousands_of_steps(asked, emerged):
    """Within 15 standard deviations either way lies all that counts; they are 500 at most."""
    other = emerged + 900 if emerged < MILLION // 2 + 1 else emerged - 9
    fisher_exact(emerged, MILLION, other, MILLION)
    assert 5 < len(asked) < 2 * 15 * 500

    asked.clear()
    compare_replicates((emerged, other), MILLION)
    assert len(asked) < 2 * 15 * 500


def test_pots_that_differ_beyond_all_chance_take_no_longer(asked):
    assert fisher_exact(0, MILLION, MILLION, MILLION) == 0
    assert 5 < len(asked) < 1000


def test_memory_does_not_grow_with_the_seeds():
    tracemalloc.start()
    try:
        compare_replicates((10**7, 10**7 + 5000), 2 * 10**7)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert peak < 4_000_000  # a list of all counts would take 640 MB


def test_a_trial_of_a_million_seeds_in_every_mix_is_reported():
    pots = [
        {
            "medium": medium["name"],
            "crop": "tomato",
            "sown": MILLION,
            "counts": [{"day": 9, "emerged": emerged}],
        }
        for medium, emerged in zip(DEMO["media"] * 2, (0, 3, 7 * 10**5) * 2, strict=True)
    ]
    (crop,) = trial_report(read(DEMO | {"trials": pots}))["crops"]

    assert [mix["sown"] for mix in crop["mixes"]] == [2 * MILLION] * 3
    assert sum(mix["best_chance"] for mix in crop["mixes"]) == pytest.approx(1, abs=1e-6)


@pytest.fixture
def within():
    """How many seconds of this process a test may take: a ceiling against hanging, no measure."""
    started = time.process_time()
    yield
    assert time.process_time() - started < 60


@pytest.mark.parametrize("mixes", [12, 66])
@pytest.mark.parametrize("sown", [5, 400, MILLION])
def test_many_mixes_are_judged_in_time(within, mixes, sown):
    """12 mixes had taken 16 s, 66 longer than a test can wait."""
    rng = random.Random(mixes)
    known = [posterior(round(sown * rng.uniform(0.7, 0.95)), sown) for _ in range(mixes)]

    assert math.fsum(chances_best(known)) == pytest.approx(1, abs=1e-8)


def test_the_report_of_66_mixes_comes_in_time(within):
    """It had taken 270 s."""
    rng = random.Random(66)
    names = [f"Mix {which}" for which in range(66)]
    pots = [
        {"medium": name, "crop": "tomato", "sown": 30, "counts": [{"day": 9, "emerged": up}]}
        for name, up in ((name, rng.randint(15, 30)) for name in names)
    ]
    media = [DEMO["media"][0] | {"name": name} for name in names]
    (crop,) = trial_report(read(DEMO | {"media": media, "trials": pots}))["crops"]

    assert len(crop["mixes"]) == 66 and len(crop["pairs"]) == 66 * 65 // 2
    assert sum(mix["best_chance"] for mix in crop["mixes"]) == pytest.approx(1, abs=1e-6)
    (money,) = crop["money"]
    assert sum(mix["cheapest_chance"] for mix in money["mixes"]) == pytest.approx(1, abs=1e-9)


@pytest.mark.parametrize("count", [(0, 20), (0, MILLION), (1, MILLION), (17, 20), (MILLION,) * 2])
@pytest.mark.parametrize("wanted", [1, 50, MILLION])
def test_cells_for_a_count_are_found_or_refused_in_time(within, count, wanted):
    for seeds, survival in ((1, 1.0), (1, 0.001), (100, 0.9)):
        try:
            cells = fewest_trials((*count, seeds, survival), wanted, 0.9)
        except ValueError as error:
            assert "more than 10,000,000 cells" in str(error)
        else:
            assert wanted <= cells <= MOST_TRIALS


@pytest.mark.parametrize("p", [1e-9, 1e-6, 0.001, 0.3])
def test_trials_are_found_or_refused_in_time(within, p):
    """1e-6 had taken 17 to 38 s."""
    for wanted in (1, 60, MILLION):
        try:
            assert wanted <= fewest_trials(p, wanted, 0.9) <= MOST_TRIALS
        except ValueError as error:
            assert "more than 10,000,000" in str(error)
