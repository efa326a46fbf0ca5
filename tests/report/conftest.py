import numpy as np
import pytest

from bottlewright.report.charts import margin_chart
from bottlewright.report.style import Event, Picture


@pytest.fixture
def pictures():
    """Two equal charts under two names: the hardest case for names inside one page."""
    time = np.linspace(0.0, 1.0, 50)

    def chart(name):
        figure = margin_chart(time, 1.2 + 0.5 * time, 1.0, 3.0, [Event(0.2, "water out")])
        return Picture(name, f"Caption of {name}.", "Margin & time", lambda _: figure)

    return [chart("one"), chart("two")]
