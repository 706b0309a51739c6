"""What README.md and DEVELOPERS.md claim of this project, where no other test holds it."""

import ast
import re
from pathlib import Path

import pytest
from scipy import stats

from pennyflat.chances.beta import beta_quantile, regularized_beta

ROOT = Path(__file__).parent.parent
LIBRARIES = {"scipy", "statsmodels", "pint", "babel"}
"""Independent libraries that a check may name instead of a publication."""


def sources():
    lines = (ROOT / "data" / "sources.csv").read_text(encoding="utf-8").splitlines()[1:]
    return {line.split(",")[0] for line in lines}


def checks():
    """(test, names) of each case of a test that says where its expected numbers come from."""
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = {
            target.id: node.value
            for node in tree.body
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        for node in tree.body:
            if isinstance(node, ast.FunctionDef):
                names, cases = (), 1
                for mark in node.decorator_list:
                    called = ast.unparse(mark.func) if isinstance(mark, ast.Call) else ""
                    if called == "pytest.mark.against":
                        names = tuple(ast.literal_eval(argument) for argument in mark.args)
                    elif called == "pytest.mark.parametrize":
                        given = mark.args[1]
                        given = constants.get(getattr(given, "id", None), given)
                        cases *= len(given.elts) if hasattr(given, "elts") else 1
                if names:
                    for case in range(cases):
                        yield f"{path.name}::{node.name}[{case}]", names


def test_ninety_checks_or_more_name_a_publication_or_an_independent_library():
    found = list(checks())
    functions = {test.partition("[")[0] for test, _ in found}
    published = [test for test, names in found if not set(names) <= LIBRARIES]

    assert {name for _, names in found for name in names} <= sources() | LIBRARIES
    assert len(found) >= 90
    assert len(published) >= 60 and len(functions) >= 50


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    ("a", "b", "error"),
    [
        (0.5, 0.5, 1e-14),
        (0.5, 20.5, 1e-14),
        (17.5, 3.5, 1e-14),
        (2e3, 7.0, 1e-14),
        (0.5, 1e6, 1e-14),
        (1e6 + 0.5, 0.5, 1e-14),
        (1e9, 1e9, 1e-12),
        (1e12, 3e11, 1e-10),
    ],
)
def test_beta_is_as_exact_as_it_says_over_the_range_it_says(a, b, error):
    """The first lines of `beta.py`."""
    for q in (1e-6, 0.1, 0.5, 0.9, 1 - 1e-6):
        x = stats.beta.ppf(q, a, b)
        if 0 < x < 1:
            assert abs(regularized_beta(a, b, x) - stats.beta.cdf(x, a, b)) <= error, q
            assert beta_quantile(a, b, q) == pytest.approx(x, rel=1e-11), q


def test_what_readme_names_as_a_source_is_listed():
    """The last column of its table of what is computed, by the names of those who publish."""
    listed = (ROOT / "data" / "sources.csv").read_text(encoding="utf-8")
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = readme.partition("| Question |")[2].partition("\n\n")[0]
    named = {
        "NIST Handbook 44": "NIST Handbook 44",
        "NIST SP 811": "NIST Special Publication 811",
        "7 CFR 201.31": "7 CFR 201.31",
        "University of Massachusetts": "University of Massachusetts",
        "Texas A&M": "Texas A&M",
        "US Department of Energy": "US Department of Energy",
        "Rutgers": "Rutgers",
    }
    for said, title in named.items():
        assert said in table and title in listed, said
    cited = set(re.findall(r"\b(?:7 CFR [\d.]+|NIST [A-Z][\w ]*\d+)", table))
    assert cited <= set(named), cited - set(named)
