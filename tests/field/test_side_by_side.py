"""Winds, tilts and hours are tried side by side: one stop, and one fault, ends all of them."""

import threading
import time

import pytest
from test_where_it_comes_down import design, fly_on_paper, square

from bottlewright.field.scatter import scatter
from bottlewright.field.trials import FIRST


def test_a_stop_that_meets_one_direction_of_the_wind_ends_the_others_too():
    stopped, flown = threading.Event(), []

    def fly(batch):
        if len(batch) == FIRST[0] and not stopped.is_set():  # who is asked for a stop tells it once
            stopped.set()
            raise KeyboardInterrupt
        if stopped.is_set():
            flown.append(len(batch))
            time.sleep(0.05)
        return fly_on_paper(batch)

    found = scatter(design(), square(70.0), fly=fly)
    assert (found.limits, found.proposals, found.hours, found.stopped) == ([], [], [], True)
    assert len(found.landings) > 0
    # What is in the air ends: the other direction's batch, the tilt's, and the falls for the landings that there are.
    assert len(flown) <= 4


def test_a_fault_while_winds_are_tried_is_told_in_its_own_words():
    def fly(batch):
        if len(batch) == FIRST[0]:
            raise ValueError("the card was pulled out")
        return fly_on_paper(batch)

    with pytest.raises(ValueError, match="the card was pulled out"):
        scatter(design(), square(70.0), fly=fly)
