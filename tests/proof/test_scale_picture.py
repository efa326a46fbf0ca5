"""The scale of pressures: what stands on it is the report's, and words cover no words."""

from itertools import combinations
from pathlib import Path

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.unit_text import at_most
from bottlewright.proof.chain import evidence_chain
from bottlewright.proof.prove import prove
from bottlewright.proof.scale_picture import scale_picture

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
DESIGNS = {
    "tested": ("curlew", []), "without a test": ("dabchick", []), "failed": ("curlew", ["vessel.proof.0.passed=false"]),
    "in psi, planned too hard": ("curlew", ["charge.pressure=90 psi"]),
    "with a weak pump": ("curlew", ["launcher.pump.rating=2 bar"]),
}  # fmt: skip


def drawn(name, overrides):
    design = complete(parse_design((EXAMPLES / name / "rocket.toml").read_text(encoding="utf-8"), overrides))
    report = prove(design)
    return scale_picture(design, report), report


@pytest.mark.parametrize(("name", "overrides"), DESIGNS.values(), ids=DESIGNS)
def test_no_words_cover_others_or_leave_the_sheet(name, overrides):
    picture, _ = drawn(name, overrides)
    for sheet in (picture.figure, picture.narrow):
        boxes = [words.box for words in sheet.words if words.size > 8.0]
        for one, other in combinations(boxes, 2):
            assert one.meets(other) < 4.0
        for words in sheet.words:
            assert words.box.left >= 0.0
            assert words.box.right <= sheet.width
            assert 0.0 <= words.box.top < words.box.bottom <= sheet.height


def test_the_allowed_reading_and_the_plan_are_named_with_their_numbers():
    picture, _ = drawn("curlew", [])
    for words in ("allowed on the gauge, 4.83 bar", "planned, 4.5 bar", "its own water test, 7.5 bar"):
        assert words in picture.alt


def test_before_its_own_test_nothing_is_called_allowed_yet():
    picture, report = drawn("dabchick", [])
    assert report.allowed.gauge_Pa is None
    assert "allowed on the gauge" not in picture.alt
    assert "allowed after a test, 2.28 bar" in picture.alt


def test_a_finished_bottle_shows_no_next_test_and_nothing_allowed():
    picture, _ = drawn("curlew", ["vessel.proof.0.passed=false"])
    assert "failed at 7.5 bar" in picture.alt
    assert "next water test" not in picture.alt
    assert "allowed" not in picture.alt


def test_a_published_maximum_has_one_name_for_its_own_number_and_another_for_its_reading():
    picture, report = drawn("curlew", [])
    design = complete(parse_design((EXAMPLES / "curlew" / "rocket.toml").read_text(encoding="utf-8")))
    link = next(one for one in evidence_chain(design, report) if one.kind == "rule")
    published = at_most(report.habit, report.rated.rule_maximum_Pa)
    assert link.value != published
    assert link.what.endswith("as read on this gauge")
    assert f"As published: {published}" in link.because
    assert f"strictest maximum, as published, {published.partition(' (')[0]}" in picture.alt
    assert link.value.partition(" (")[0] not in picture.alt
