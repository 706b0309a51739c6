"""What tests of several files share."""

import pytest

import places


@pytest.fixture
def plain_again():
    """The page writes for no reader of a certain place after the test."""
    yield
    places.settle(places.PLAIN)
    places.measure_in(places.METRIC)
