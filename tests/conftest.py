"""What tests of several files share."""

import pytest
from hypothesis import settings

from pennyflat_display import places

settings.register_profile("without a clock", deadline=None)
settings.load_profile("without a clock")


def pytest_collection_modifyitems(items):
    """Those in a browser first: their files take longest, so none is to be left for the end."""
    items.sort(key=lambda item: "browser" not in item.path.parts)


@pytest.fixture
def plain_again():
    """The page writes for no reader of a certain place after the test."""
    yield
    places.settle(places.PLAIN)
    places.measure_in(places.METRIC)
