"""The examples in the page's docstrings are true."""

import doctest

import pytest

from pennyflat_display import chart_parts, money
from share import sharing
from work import edits, entry, shelf

MODULES = [chart_parts, edits, entry, money, sharing, shelf]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_hold(module):
    found = doctest.testmod(module, optionflags=doctest.ELLIPSIS)

    assert found.attempted > 0 and found.failed == 0
