"""The chain of evidence says what Prove says: its boxed link is the allowed pressure, its values are the report's."""

from dataclasses import replace
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st
from test_any_rig import launchers

from bottlewright.design import DesignError, complete, parse_design
from bottlewright.proof.chain import evidence_chain, told_tests
from bottlewright.proof.prove import prove
from bottlewright.proof.scale_picture import scale_picture
from strategies import design_tables, quantities

CURLEW = (Path(__file__).parent.parent.parent / "examples" / "curlew" / "rocket.toml").read_text(encoding="utf-8")


def chain_of(*overrides):
    design = complete(parse_design(CURLEW, overrides))
    report = prove(design)
    return evidence_chain(design, report), report


HOLDERS = {
    "its own test": ("test", []),
    "the strictest published maximum": ("rule", ["vessel.proof.0.pressure=10.5 bar", "vessel.cycles=4",
                                                 "launcher.gauge.accuracy=0.1 %"]),
    "a part of the launcher": ("part", ["launcher.pump.rating=2 bar"]),
    "the place": ("local", ["site.pressure_limit=1.5 bar"]),
    "a coarse gauge": ("gauge", ["launcher.gauge.range=160 bar", "launcher.gauge.accuracy=4 %"]),
    "no test of its own": ("no test", ["vessel.proof.0="]),
    "a test on air": ("no test", ["vessel.proof.0.medium=air"]),
    "a failed test": ("vessel", ["vessel.proof.0.passed=false"]),
    "a hot car": ("vessel", ["vessel.storage=hot car"]),
}  # fmt: skip


@pytest.mark.parametrize(("kind", "overrides"), HOLDERS.values(), ids=HOLDERS)
def test_exactly_one_link_holds_the_number_and_it_is_the_allowed_one(kind, overrides):
    links, report = chain_of(*overrides)
    (holder,) = (link for link in links if link.holds)
    assert holder.kind == kind
    assert holder.reading_Pa == report.allowed.gauge_Pa
    assert links[-1].kind == "allowed"
    assert links[-1].reading_Pa == report.allowed.gauge_Pa
    if report.allowed.gauge_Pa is not None and kind not in ("gauge", "vessel"):
        assert min(link.reading_Pa for link in links if link.reading_Pa is not None) == report.allowed.gauge_Pa


def test_the_values_are_those_of_the_report():
    links, report = chain_of()
    habit, rated = report.habit, report.rated
    first = {link.kind: link for link in reversed(links)}
    assert first["strength"].value == habit.pressure(rated.burst_median_Pa)
    assert habit.pressure(rated.burst_limit_low_Pa) in first["chance"].because
    assert first["test"].value == "4.83 bar"
    assert "4.99 bar in the bottle" in first["test"].because  # 7.5 bar less three days, over 1.5
    parts = {link.what.lower(): link.reading_Pa for link in links if link.kind == "part"}
    assert parts == {part.name: part.rating_Pa for part in report.launcher.parts}
    assert all(factor.source in " ".join(first["strength"].more) for factor in rated.factors)


def test_what_nobody_has_described_is_said():
    links, report = chain_of("launcher.hose.rating=", "launcher.valve.kind=", "launcher.valve.rating=")
    assert {link.what for link in links if link.value == "not known"} == {"Hose", "Valve"}
    assert all(link.source == "not checked" for link in links if link.value == "not known")
    assert report.allowed.held_by == "rating"


def test_where_such_bottles_burst_too_often_their_strength_holds_the_number():
    design = complete(parse_design(CURLEW))
    report = prove(design)
    held = replace(report, rated=replace(report.rated, held_back_by="burst chance"))
    assert [link.kind for link in evidence_chain(design, held) if link.holds] == ["chance"]


def test_a_joined_vessel_has_its_joint_in_the_chain():
    links, _ = chain_of("vessel.count=2", "vessel.joint=splice", "measured.dry_mass=", "measured.balance_point=")
    (joint,) = (link for link in links if link.kind == "joint")
    assert (joint.value, joint.reading_Pa) == ("not known", None)


def test_every_test_in_the_file_is_told_with_what_it_counts_for():
    design = complete(parse_design(CURLEW, ["vessel.proof.1.pressure=6 bar", "vessel.proof.1.hold=60 s",
                                            "vessel.proof.1.date=2027-04-09"]))  # fmt: skip
    report = prove(design)
    (held, worth), (later, doubted) = told_tests(design, report)
    assert held == "It held 7.5 bar for 60 s, filled with water, on 2027-03-31"
    assert worth.endswith("4.99 bar in the bottle.")
    assert "2027-04-09" in later
    assert doubted.startswith("It counts for nothing until this is explained")


PROOFS = st.lists(st.fixed_dictionaries(
    {"pressure": quantities(1, 15, "bar"), "hold": quantities(0, 120, "s"), "medium": st.sampled_from(["water", "air"]),
     "passed": st.sampled_from([True, True, True, False])},
    optional={"cycles": st.integers(0, 12)},
), max_size=3)  # fmt: skip


@given(design_tables(), launchers, PROOFS, st.none() | quantities(1, 9, "bar"))
@settings(max_examples=80, deadline=None)
def test_whatever_the_rig_one_link_holds_the_number_and_no_figure_breaks(tables, launcher, tests, local):
    tables.setdefault("launcher", {}).update(launcher)
    tables["vessel"]["proof"] = tests
    if local:
        tables.setdefault("site", {})["pressure_limit"] = local
    try:
        design = complete(parse_design(tomlkit.dumps(tables)))
    except DesignError:
        return
    report = prove(design)
    links = evidence_chain(design, report)
    (holder,) = (link for link in links if link.holds)
    assert holder.reading_Pa == links[-1].reading_Pa == report.allowed.gauge_Pa
    assert len(told_tests(design, report)) == len(tests)
    if report.allowed.gauge_Pa:
        assert all(link.reading_Pa >= report.allowed.gauge_Pa for link in links if link.reading_Pa is not None)
    picture = scale_picture(design, report)
    for sheet in (picture.figure, picture.narrow):
        assert all(words.box.left >= 0.0 and words.box.right <= sheet.width + 1e-6 for words in sheet.words)
        assert all(words.box.top >= 0.0 and words.box.bottom <= sheet.height for words in sheet.words)
