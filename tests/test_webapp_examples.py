"""The examples in the page's docstrings are true."""

import doctest

import pytest

import chart_parts
import edits
import entry
import money
import sharing
import shelf

MODULES = [chart_parts, edits, entry, money, sharing, shelf]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_hold(module):
    found = doctest.testmod(module, optionflags=doctest.ELLIPSIS)

    assert found.attempted > 0 and found.failed == 0
