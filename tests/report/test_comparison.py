import numpy as np
import pytest

from bottlewright.report.comparison import Check, deviation_chart, overlay_chart
from drawn import Drawn


def words(figure):
    return Drawn(figure).texts


@pytest.mark.parametrize(("ours", "holds"), [(10.9, True), (11.0, True), (11.1, False), (8.9, False)])
def test_a_check_holds_within_its_tolerance_and_not_beyond(ours, holds):
    assert Check("impulse", ours, 10.0, 1.0).holds is holds


def test_a_miss_is_called_a_miss_with_its_size():
    said = words(deviation_chart([Check("good", 1.0, 1.0, 0.1), Check("bad", 2.0, 1.0, 0.1)]))
    assert {"good", "bad", "miss: +10.0"} <= set(said)
    assert sum("miss" in text for text in said) == 1


def test_the_measured_record_and_each_model_are_named():
    x = np.linspace(0.0, 1.0, 9)
    said = words(overlay_chart((x, x), {"ideal": (x, 2 * x), "with spray": (x, x**2)}, "Thrust, N", "time, s"))
    assert {"measured", "ideal", "with spray", "Thrust, N", "time, s"} <= set(said)
