import math
from pathlib import Path

import numpy as np

from bottlewright.design.environment import Site
from bottlewright.field.outlines import dense_outlines
from bottlewright.field.pictures import field_map, wind_rose
from bottlewright.field.site import FieldSite, field_site
from bottlewright.field.wind_limit import WindLimit

LANDINGS = np.random.default_rng(2).normal(size=(400, 2)) * 8.0 + (20.0, 10.0)


def words(figure):
    figure.draw_without_rendering()
    texts = [text.get_text() for axes in figure.axes for text in axes.texts]
    return " | ".join(texts + [text.get_text() for legend in figure.legends for text in legend.get_texts()])


def test_the_map_names_keep_outs_north_scale_wind_outlines_and_every_kind_of_return():
    site = field_site(Site(map="field.geojson"), Path(__file__).parents[2] / "examples" / "curlew")
    kinds = {"under the parachute": LANDINGS, "ballistic": LANDINGS[:9]}
    figure = field_map(site, kinds, dense_outlines(LANDINGS), (3.0, math.radians(240.0)))
    text = words(figure)
    for name in ("Mill Lane", "(road)", "50 m", "N", "wind 3 m/s", "from WSW", "95 % of landings",
                 "under the parachute (400)", "ballistic (9)", "launch point", "edge of the field"):
        assert name in text
    assert figure.axes[0].get_aspect() == 1.0


def test_a_map_without_a_field_or_landings_still_draws():
    figure = field_map(FieldSite("the field", None, (), None), {"under the parachute": np.empty((0, 2))})
    assert "launch point" in words(figure)


def test_the_rose_writes_each_limit_and_marks_those_never_reached():
    limits = [WindLimit(math.radians(30 * k), 4.0 + 0.1 * k, k != 3) for k in range(12)]
    text = words(wind_rose(limits))
    assert "4.0" in text
    assert "4.3+" in text
