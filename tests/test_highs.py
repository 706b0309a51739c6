"""Programs solved natively, compared with scipy's milp, which includes its own HiGHS."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from pennyflat.buying.highs import solve
from tests.programmes import hard, misses, small

SHELL = Path(__file__).resolve().parents[1] / "webapp" / "shell"


def bounds(given, none):
    return [none if bound is None else bound for bound in given]


def by_scipy(model):
    """The least cost; None if there is no answer."""
    shape = (len(model["row_lower"]), len(model["cost"]))
    matrix = csr_array((model["value"], model["index"], model["starts"]), shape=shape)
    low, high = bounds(model["row_lower"], -np.inf), bounds(model["row_upper"], np.inf)
    found = milp(
        model["cost"],
        constraints=LinearConstraint(matrix, low, high),
        integrality=model["integer"],
        bounds=Bounds(model["lower"], bounds(model["upper"], np.inf)),
        options={"mip_rel_gap": 0},
    )
    assert found.status in (0, 2), found.message
    return found.fun


@pytest.mark.against("scipy")
def test_the_least_cost_is_scipys():
    possible = 0
    for number in range(100):
        model = small(number)
        answer, expected = solve(model), by_scipy(model)

        if expected is None:
            assert (answer["values"], answer["objective"], answer["proven"]) == (None, None, False)
            assert answer["status"] == "infeasible"
            continue
        possible += 1
        assert answer["proven"] and answer["status"] == "optimal"
        assert answer["objective"] == pytest.approx(expected, abs=2e-6)
        assert answer["objective"] == pytest.approx(np.dot(model["cost"], answer["values"]))
        assert answer["bound"] == pytest.approx(answer["objective"], abs=2e-7)
        assert misses(model, answer["values"]) < 1e-8
    assert 50 < possible < 100


def test_without_time_the_start_is_the_answer():
    model = hard(1) | {"seconds": 0}

    answer = solve(model)

    assert answer["values"] == model["start"]
    assert answer["objective"] == pytest.approx(np.dot(model["cost"], model["start"]))
    assert answer["status"] == "timeLimit" and not answer["proven"]
    assert solve(model | {"start": None})["values"] is None


def test_a_start_that_will_not_do_does_no_harm():
    model = small(0)

    answer = solve(model | {"start": [-1] * len(model["cost"])})

    assert answer["proven"]
    assert answer["objective"] == pytest.approx(by_scipy(model))


def test_when_time_is_up_the_bound_is_below_the_best_found():
    model = hard(2) | {"seconds": 0.5}

    answer = solve(model)

    assert not answer["proven"] and answer["status"] == "timeLimit"
    assert misses(model, answer["values"]) < 1e-8
    assert 0 < answer["bound"] < answer["objective"] < np.dot(model["cost"], model["start"])


def test_nothing_is_written_to_the_screen(capfd):
    solve(hard(2) | {"seconds": 0.2})

    assert capfd.readouterr() == ("", "")


def test_whole_numbers_are_held_to_only_where_asked():
    model = small(0) | {"integer": [0] * len(small(0)["cost"])}

    answer = solve(model)

    assert answer["objective"] == pytest.approx(by_scipy(model))
    assert answer["proven"] and answer["bound"] == answer["objective"]


def test_a_model_that_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match="rejects"):
        solve(small(0) | {"lower": [9e9] * 2, "upper": [0]})


def test_it_says_that_another_use_of_highs_is_in_its_way():
    code = """
import highspy
from pennyflat.buying.highs import solve
other = highspy.Highs()
other.setOptionValue("output_flag", False)
other.setOptionValue("threads", 2)
other.addBinary()
other.run()
try:
    solve(MODEL)
except ValueError as error:
    print(error)
"""
    found = subprocess.run(
        [sys.executable, "-c", code.replace("MODEL", repr(small(0)))],
        env=os.environ | {"PYTHONPATH": str(SHELL.parents[1] / "core")},
        capture_output=True,
        text=True,
    )

    assert "more threads" in found.stdout
