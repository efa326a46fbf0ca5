import pytest
from workshop_designs import DABCHICK, design_of

from bottlewright.design import Design


@pytest.fixture
def dabchick() -> Design:
    return design_of(DABCHICK)
