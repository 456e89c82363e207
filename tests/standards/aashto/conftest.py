"""The numbers of this family."""

import pytest

from bedstone.standards.values import Values


@pytest.fixture
def values():
    return Values("aashto")
