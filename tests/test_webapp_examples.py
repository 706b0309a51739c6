"""The examples in the page's docstrings are true."""

import doctest

import pytest

import charts
import edits
import entry
import money
import shelf


@pytest.mark.parametrize("module", [charts, edits, entry, money, shelf], ids=lambda m: m.__name__)
def test_the_examples_hold(module):
    found = doctest.testmod(module, optionflags=doctest.ELLIPSIS)

    assert found.attempted > 0 and found.failed == 0
