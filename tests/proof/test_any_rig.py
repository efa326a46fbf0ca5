"""Whatever is described, Prove gives finite numbers and findings, or says what is missing."""

import json
import math
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from acts import act_of
from bottlewright.design import DesignError, complete, parse_design
from bottlewright.proof.prove import prove
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice, conflict_lines, rule_rows
from bottlewright.report.json_text import json_text
from strategies import design_tables, quantities


def table(**keys: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Draw a table with any of these keys."""
    return st.fixed_dictionaries({}, optional=keys)


launchers = table(
    release=table(kind=st.sampled_from(["collar", "ties", "pin", "plug"]), spring=quantities(0, 500, "N"),
                  friction=st.floats(0.01, 1.5), wedge=quantities(0, 80, "deg"), slope=quantities(0, 80, "deg"),
                  count=st.integers(1, 20), strength=quantities(0, 2000, "N"), grip=quantities(0, 300, "N"),
                  guided_length=quantities(0, 60, "mm"), pull_radius=quantities(0, 60, "mm")),
    cord=table(length=quantities(0, 40, "m"), count=st.sampled_from([1, 2]), evenness=st.floats(0.5, 1.0),
               strength=quantities(0, 2000, "N"), leverage=st.floats(0.1, 10), turn=quantities(0, 720, "deg")),
    hose=table(length=quantities(0, 40, "m"), rating=quantities(1, 40, "bar"), temperature=quantities(-10, 90, "°C"),
               sun=st.booleans(), loop_height=quantities(0, 1000, "mm"), check_valve=st.booleans()),
    valve=table(kind=st.sampled_from(["snap-in", "clamp-in", "other"]), rating=quantities(1, 40, "bar")),
    clamp=table(kind=st.sampled_from(["worm", "none"]), rating=quantities(1, 40, "bar")),
    coupling=table(rating=quantities(1, 40, "bar"), diameter=quantities(5, 60, "mm")),
    gauge=table(range=quantities(1, 40, "bar"), accuracy=st.floats(0.001, 0.1)),
    frame=table(mass=quantities(0, 30, "kg"), width=quantities(0, 1000, "mm"), depth=quantities(0, 1000, "mm")),
    stakes=table(count=st.integers(0, 8), ground=st.sampled_from(["firm soil", "soft soil", "sand", "hard"]),
                 length=quantities(0, 500, "mm")),
    pump=table(bore=quantities(10, 80, "mm"), stroke=quantities(50, 800, "mm"), clearance=quantities(0, 200, "mL"),
               rating=quantities(1, 20, "bar"), cadence=quantities(5, 120, "1/min")),
    crew=table(operator=quantities(0, 40, "m"), pumper=quantities(0, 40, "m"), spectators=quantities(0, 90, "m"),
               eye_protection=st.booleans(), puller=st.sampled_from(["adult", "child"]), remote_vent=st.booleans()),
)  # fmt: skip


@given(design_tables(), launchers)
@settings(max_examples=60, deadline=None)
def test_any_launcher_gets_its_findings(tables: dict[str, Any], launcher: dict[str, Any]) -> None:
    tables.setdefault("launcher", {}).update(launcher)
    try:
        design = complete(parse_design(tomlkit.dumps(tables)))
    except DesignError:
        return
    report = prove(design)
    assert report.rated.gauge_Pa > 0.0
    assert math.isfinite(report.rated.gauge_Pa)
    assert report.rated.low_Pa <= report.rated.gauge_Pa <= report.rated.high_Pa
    assert report.rated.gauge_Pa <= report.rated.rule_maximum_Pa * (1 + 1e-9)
    texts = [sentence for _, sentences in advice(report) for sentence in sentences] + conflict_lines(report)
    texts += [cell for row in rule_rows(report) for cell in row]
    texts += [word for finding in report.findings for word in finding.as_json().values()]
    assert not any(bad in text for text in texts for bad in ("nan", "inf ", "None"))
    assert json.loads(json_text(report.as_json()))["rated"]["gauge_Pa"] == pytest.approx(report.rated.gauge_Pa)
    assert "Proof test" in proof_sheet(design, report, act_of(design, report))
