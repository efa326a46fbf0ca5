"""Equipment in three states, and what is said of how the rocket is built: no is a stop, silence is no yes."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.tables import materials
from bottlewright.findings import Level
from bottlewright.flight.layout import vehicle_of
from bottlewright.proof.equipment import equipment
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.rule_plan import dry_mass, rule_plan
from bottlewright.proof.summary_text import rule_rows

Curlew = Callable[..., Design]

PLAIN = (
    'schema = 1\nname = "Wren"\n[vessel]\nbottle = "carbonated-1500"\nage = "9 days"\n'
    '[charge]\npressure = "2 bar"\n'
)


def plain(*sets: str) -> ProofReport:
    return prove(complete(parse_design(PLAIN, sets)))


def found(report: ProofReport) -> dict[str, Level]:
    return {finding.code: finding.level for finding in report.findings}


STATES = [
    ("launcher.gauge.fitted", "gauge"),
    ("launcher.crew.eye_protection", "eye-protection"),
    ("launcher.crew.remote_vent", "remote-vent"),
    ("launcher.pump.regulator", "regulator"),
    ("launcher.pump.relief_valve", "relief-valve"),
]


@pytest.mark.parametrize(("key", "code"), STATES)
def test_what_is_said_to_be_missing_is_a_stop_and_silence_is_a_hold_point(key: str, code: str) -> None:
    compressor = 'launcher.pump.kind="compressor"'
    assert found(plain(compressor, f"{key}=false"))[f"no-{code}"] is Level.STOP
    assert found(plain(compressor))[f"{code}-unsaid"] is Level.HOLD
    said = found(plain(compressor, f"{key}=true"))
    assert not {f"no-{code}", f"{code}-unsaid"} & set(said)


@pytest.mark.parametrize(
    ("sets", "state"),
    [
        ((), None),
        (("launcher.stakes={}",), None),
        (("launcher.stakes.count=0",), False),
        (("launcher.stakes.count=4",), True),
        (("launcher.stakes.count=0", 'launcher.stakes.weights="12 kg"'), True),
        (("launcher.stakes.count=0", 'launcher.stakes.weights="0 kg"'), False),
    ],
)
def test_stakes_or_weights_hold_the_launcher_down(sets: tuple[str, ...], state: bool | None) -> None:
    assert equipment(complete(parse_design(PLAIN, sets)))["pegging"] is state


def test_weights_on_the_feet_count_when_the_stand_is_pulled(curlew: Curlew) -> None:
    bare = prove(curlew("launcher.stakes.count=0")).launcher.footing_needed
    laid = prove(curlew("launcher.stakes.count=0", 'launcher.stakes.weights="20 kg"')).launcher.footing_needed
    assert bare is not None
    assert laid is not None
    assert laid.slide_factor == pytest.approx(bare.slide_factor * 24.2 / 4.2)


def test_a_gauge_that_is_described_is_a_gauge() -> None:
    assert equipment(complete(parse_design(PLAIN, ['launcher.gauge.range="10 bar"'])))["gauge"] is True


def test_a_hand_pump_needs_no_regulator() -> None:
    assert not [code for code in found(plain('launcher.pump.kind="foot"')) if "regulator" in code or "relief" in code]


def test_missing_equipment_is_listed_first_among_the_hold_points_behind_the_water_test() -> None:
    holds = [finding.code for finding in plain().findings if finding.level is Level.HOLD]
    assert holds[0] == "own-test-missing"
    assert holds[1:5] == ["gauge-unsaid", "eye-protection-unsaid", "remote-vent-unsaid", "pegging-unsaid"]


def test_no_look_says_only_that_something_is_not_described() -> None:
    """A first rocket describes no launcher; what is missing is a hold point, what nobody checked is unchecked."""
    looks = {finding.code for finding in plain().findings if finding.level is Level.LOOK}
    assert looks == {"retire"}  # nobody counted the launches, which is no silence: it lowers what is allowed
    described = plain("launcher.hose={}", "launcher.coupling={}", "launcher.frame={}", "launcher.release={}",
                      'nozzle.bore="9 mm"')
    assert {code: found(described)[code] for code in (
        "not-described", "rating-unknown", "stand-mass-unknown", "seal-not-measured")} == dict.fromkeys(
        ("not-described", "rating-unknown", "stand-mass-unknown", "seal-not-measured"), Level.UNCHECKED)


def test_a_compressor_is_asked_for_no_strokes_and_no_strength() -> None:
    report = plain('launcher.pump={kind="compressor", regulator=true, relief_valve=true}')
    assert (report.pumping.strokes, report.pumping.handle_force_N) == (0.0, 0.0)
    assert report.pumping.temperature_after_K == pytest.approx(report.pumping.temperature_no_loss_K)
    assert not {"pump-cannot-reach", "handle-heavy"} & set(found(report))
    assert not [one for one in report.launcher.assumed if one.path.startswith("launcher.pump")]


@pytest.mark.parametrize("part", ["nose", "fins", "sleeve"])
@pytest.mark.parametrize("metal", ["aluminium", "brass", "steel"])
def test_metal_in_nose_body_or_fins_is_a_stop(part: str, metal: str) -> None:
    size = ['sleeve.length="100 mm"'] if part == "sleeve" else []
    report = plain(*size, f'{part}.material="{metal}"')
    assert found(report)["metal-parts"] is Level.STOP
    assert {check.meets for check in report.rules if check.rule.subject == "metal"} == {False}


def test_every_metal_of_the_table_is_marked_as_one() -> None:
    """Heavier than any plastic, wood or clay of the table."""
    for row in materials().values():
        density = row.values.get("density")
        heavy = density is not None and density.value > 2500.0
        assert bool(row.words.get("metal")) is heavy, row.name


TWO = "vessel.count=2"
TESTED = 'vessel.proof=[{pressure="5 bar", hold="60 s"}]'


@pytest.mark.parametrize(
    ("sets", "code"),
    [
        ((TWO,), "no-joint"),
        ((TWO, TESTED), "no-joint"),
        ((TWO, 'vessel.joint="coupling"'), "joint-not-rated"),
        ((TWO, 'vessel.joint="splice"', 'vessel.joint_overlap="40 mm"'), "joint-not-rated"),
        ((TWO, 'vessel.joint="coupling"', 'vessel.proof=[{pressure="5 bar", hold="60 s", medium="air"}]'),
         "joint-not-rated"),
        ((TWO, 'vessel.joint="splice"', TESTED, 'vessel.joint_adhesive="hot melt"'), "hot-glue-on-the-vessel"),
        ((TWO, 'vessel.joint="splice"', TESTED, 'vessel.joint_adhesive="cyanoacrylate"'), "superglue-on-the-vessel"),
        (('vessel.surface=["super-glued"]',), "surface-work"),
        (('vessel.surface=["spray-painted"]',), "surface-work"),
        (('weather.wind_speed="9 m/s"',), "too-windy"),
        (('launcher.valve={kind="snap-in"}', 'charge.pressure="5 bar"'), "under-rated-valve"),
    ],
)
def test_a_careful_engineer_stops(sets: tuple[str, ...], code: str) -> None:
    assert found(plain(*sets))[code] is Level.STOP


def test_a_joint_that_passed_a_test_of_the_whole_vessel_is_no_stop() -> None:
    codes = found(plain(TWO, 'vessel.joint="coupling"', TESTED))
    assert not {"no-joint", "joint-not-rated"} & set(codes)


def test_published_advice_passed_is_a_look_and_three_times_a_rating_names_its_pressure(curlew: Curlew) -> None:
    report = prove(curlew('launcher.pump.rating="11 bar"'))
    assert found(report)["over-advised-pressure"] is Level.LOOK
    weak = next(finding for finding in report.findings if finding.code == "weakest-part")
    assert weak.level is Level.LOOK
    assert "more than 3.66 bar, which keeps the factor of 3" in weak.remedy  # 11 bar over 3
    assert "over-advised-pressure" not in found(prove(curlew('charge.pressure="3.4 bar"')))


def test_a_rocket_over_a_pound_is_a_look(curlew: Curlew) -> None:
    sets = ("measured={}", 'mass=[{name="ballast", mass="500 g", position="40 mm"}]')
    assert found(prove(curlew(*sets)))["heavy-rocket"] is Level.LOOK
    assert "heavy-rocket" not in found(prove(curlew()))


@pytest.mark.parametrize("sets", [(), ("measured={}",)])
def test_the_mass_that_the_rules_weigh_is_the_mass_that_flies(curlew: Curlew, sets: tuple[str, ...]) -> None:
    design = curlew(*sets)
    assert dry_mass(design) == pytest.approx(float(vehicle_of(design)["dry_mass"]))


@pytest.mark.parametrize(
    ("sets", "radius"),
    [
        (('nose.shape="ogive"',), 0.0),
        (('nose.shape="cone"',), 0.0),
        (('nose.shape="hemisphere"', 'nose.diameter="90 mm"'), 0.045),
        (('nose.shape="ellipsoid"', 'nose.diameter="90 mm"', 'nose.length="90 mm"'), 0.0225),
        (('nose.shape="paraboloid"', 'nose.diameter="90 mm"', 'nose.length="90 mm"'), 0.01125),
    ],
)
def test_the_nose_is_as_round_as_its_shape(sets: tuple[str, ...], radius: float) -> None:
    """Radius of curvature at the tip: R²/L of an ellipsoid, R²/2L of a paraboloid, by hand."""
    assert rule_plan(complete(parse_design(PLAIN, sets))).nose_radius == pytest.approx(radius)


def test_rules_of_a_contest_are_shown_and_bind_only_when_named(curlew: Curlew) -> None:
    rows = {row[0]: row[2] for row in rule_rows(prove(curlew()))}
    assert rows["at most 4.14 bar"] == "not met; a science contest rule, not governing"
    assert rows["hand pump only"].endswith("a distance contest rule, not governing")
    assert "named-rule-broken" not in found(prove(curlew()))
    named = prove(curlew('site.rules=["science contest"]'))
    assert found(named)["named-rule-broken"] is Level.STOP
    assert "not governing" not in {row[0]: row[2] for row in rule_rows(named)}["at most 4.14 bar"]


@pytest.mark.parametrize(
    ("kind", "meets"), [(None, None), ("hand", True), ("foot", True), ("compressor", False)],
)
def test_hand_pump_only_is_decided_from_the_pump(kind: str | None, meets: bool | None) -> None:
    sets = [f'launcher.pump.kind="{kind}"'] if kind else []
    assert next(check.meets for check in plain(*sets).rules if check.rule.id == "japan-association-hand-pump") is meets


def test_the_field_s_width_is_decided_from_a_rectangle() -> None:
    report = plain('site.rectangle={length="100 m", width="29 m"}')
    meets = {check.rule.id: check.meets for check in report.rules}
    assert meets["nasa-field-width"] is False
    assert meets["japan-association-field-length"] is False


def test_gusts_over_the_published_wind_are_a_look() -> None:
    assert found(plain('weather.gust="9 m/s"'))["gusts-over-rule"] is Level.LOOK
    assert "gusts-over-rule" not in found(plain('weather.gust="9 m/s"', 'weather.wind_speed="9 m/s"'))


def test_a_place_that_would_do_with_goggles_is_a_hold_point_while_nothing_is_said_of_them(curlew: Curlew) -> None:
    near = ('launcher.crew={operator="8 m", pumper="13 m", spectators="25 m"}',)
    assert found(prove(curlew(*near)))["too-near-operator"] is Level.HOLD
    assert "too-near-operator" not in found(prove(curlew(*near, "launcher.crew.eye_protection=true")))
    assert found(prove(curlew(*near, "launcher.crew.eye_protection=false")))["too-near-operator"] is Level.STOP
    at_six = found(prove(curlew(*near, 'launcher.crew.operator="6 m"')))
    assert at_six["too-near-operator"] is Level.STOP


RANK = list(Level)


def worst(report: ProofReport) -> int:
    return max(RANK.index(finding.level) for finding in report.findings)


@given(st.sampled_from(["operator", "pumper", "spectators"]), st.floats(0.0, 60.0), st.floats(0.0, 60.0),
       st.sampled_from([None, True, False]))
@settings(max_examples=40, deadline=None)
def test_people_who_stand_nearer_never_lower_the_level(role: str, one: float, other: float, worn: bool | None) -> None:
    near, far = sorted((one, other))
    crew = [] if worn is None else [f"launcher.crew.eye_protection={str(worn).lower()}"]
    levels = [worst(plain(*crew, f'launcher.crew.{role}="{distance:.3f} m"')) for distance in (near, far)]
    assert levels[0] >= levels[1]


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0), st.floats(0.0, 20.0))
@settings(max_examples=40, deadline=None)
def test_more_wind_never_lowers_the_level(one: float, other: float, gust: float) -> None:
    calm, windy = sorted((one, other))
    top = max(gust, windy)
    levels = [worst(plain(f'weather.wind_speed="{speed:.3f} m/s"', f'weather.gust="{top:.3f} m/s"'))
              for speed in (calm, windy)]
    assert levels[0] <= levels[1]


# --- a false where nobody says what pumps; weights that hold nothing -------------------------------------------------


@pytest.mark.parametrize(("key", "code"), [("regulator", "no-regulator"), ("relief_valve", "no-relief-valve")])
def test_a_missing_regulator_is_a_stop_until_the_pump_is_said_to_be_none_that_needs_it(key: str, code: str) -> None:
    assert {code, "pump-kind-unsaid"} <= codes_of(f"launcher.pump.{key}=false")
    assert "pump-kind-unsaid" in codes_of(f"launcher.pump.{key}=true")
    for kind in ("hand", "foot"):
        assert not {code, "pump-kind-unsaid"} & codes_of(f"launcher.pump={{kind=\"{kind}\", {key}=false}}")


@pytest.mark.parametrize(("weights", "held"), [("1 g", False), ("4.9 kg", False), ("5 kg", True)])
def test_weights_of_a_gram_hold_no_launcher_down(weights: str, held: bool) -> None:
    assert ("no-pegging" not in codes_of(f"launcher.stakes={{count=0, weights=\"{weights}\"}}")) is held


def codes_of(*sets: str) -> set[str]:
    return {finding.code for finding in plain(*sets).findings}


# --- what the masses are made of -------------------------------------------------------------------------------------

BALLAST = 'mass=[{{name="ballast", mass="40 g", position="40 mm"{}}}, {{name="egg", mass="50 g", position="80 mm"}}]'


@pytest.mark.parametrize("metal", ["steel", "lead", "brass", "aluminium"])
def test_a_bolt_in_the_tip_is_metal_on_the_rocket_as_a_metal_nose_is(metal: str) -> None:
    report = plain(BALLAST.format(f', material="{metal}"'))
    (stop,) = [one for one in report.findings if one.code == "metal-parts"]
    assert stop.level is Level.STOP
    assert stop.found == f"ballast of {metal}"
    assert {check.meets for check in report.rules if check.rule.subject == "metal"} == {False}


def test_masses_of_which_nobody_says_what_they_are_made_of_are_named_as_not_checked() -> None:
    report = plain(BALLAST.format(', material="modelling-clay"'))
    (unsaid,) = [one for one in report.findings if one.code == "mass-material-unsaid"]
    assert unsaid.level is Level.UNCHECKED
    assert unsaid.found == "nobody says what the part “egg” is made of"
    two = 'mass=[{name="what lets it out", mass="40 g", position="40 mm"}, {name="egg", mass="50 g", position="60 mm"}]'
    (unsaid,) = [one for one in plain(two).findings if one.code == "mass-material-unsaid"]
    assert unsaid.found == "nobody says what these parts are made of: “what lets it out”, “egg”"
    assert {check.meets for check in report.rules if check.rule.subject == "metal"} == {None}
    clay = plain('mass=[{name="ballast", mass="40 g", position="40 mm", material="modelling-clay"}]')
    assert "mass-material-unsaid" not in found(clay)
    assert {check.meets for check in clay.rules if check.rule.subject == "metal"} == {True}


def test_a_material_that_no_row_has_is_refused_for_a_mass_too() -> None:
    with pytest.raises(DesignError, match="aluminium"):
        plain(BALLAST.format(', material="aluminum"'))


# --- what to do, in plain words first --------------------------------------------------------------------------------

WEAK = [
    ('launcher.pump={rating="3 bar"}', "under-rated-pump", "Plan no more than 3 bar, or fit a pump rated"),
    ('launcher.valve={kind="clamp-in", rating="3 bar"}', "under-rated-valve", "Plan no more than 3 bar, or fit a v"),
    ('launcher.pump={rating="9 bar"}', "weakest-part", "Plan no more than 3 bar, which keeps the factor of 3, or r"),
    ('launcher.gauge={range="2 bar"}', "gauge-range", "Plan no more than 1.5 bar, or fit a gauge"),
    ('launcher.pump={bore="30 mm", stroke="300 mm", clearance="80 mL"}', "pump-cannot-reach", "Plan no more than 2.6"),
    ('launcher.release={kind="ties", count=2, strength="10 N"}', "release-breaks", "Plan no more than 0.37 bar, or u"),
]


@pytest.mark.parametrize(("sets", "code", "first"), WEAK)
def test_the_remedy_of_a_part_begins_with_the_pressure_that_it_allows(sets: str, code: str, first: str) -> None:
    report = plain('charge.pressure="3.3 bar"', sets)
    (weak,) = [one for one in report.findings if one.code == code]
    assert weak.remedy.startswith(first)


@pytest.mark.parametrize("code", ["under-rated-pump", "pump-cannot-reach"])
def test_a_weak_pump_is_found_by_the_plan_and_held_against_what_it_bears_or_reaches(code: str) -> None:
    sets = next(sets for sets, of, _ in WEAK if of == code)
    (weak,) = [one for one in plain('charge.pressure="3.3 bar"', sets).findings if one.code == code]
    assert weak.found == "3.3 bar planned"
    assert "pump" in weak.limit


def test_no_remedy_of_a_part_invites_anyone_to_pump_past_what_the_bottle_is_allowed() -> None:
    """The pump bears 11 bar; the bottle would be allowed 3.45 bar after a test, or nothing any more."""
    strong = plain('charge.pressure="12 bar"', 'launcher.pump={rating="11 bar"}')
    (pump,) = [one for one in strong.findings if one.code == "under-rated-pump"]
    assert pump.remedy.startswith("Plan no more than 3.45 bar, or fit")
    retired = plain('charge.pressure="12 bar"', 'launcher.pump={rating="11 bar"}', 'vessel.surface=["cut"]')
    (pump,) = [one for one in retired.findings if one.code == "under-rated-pump"]
    assert pump.remedy.startswith("Fit a pump")


DOING = ("Fit ", "Get ", "Peg ", "Mark ", "Look ", "Ask ", "Choose ", "Test ", "Move ")


@pytest.mark.parametrize("sets", [(), ('launcher.pump={kind="compressor"}',), ("launcher.pump={regulator=true}",),
                                  ('charge.day="2027-02-01"',)])  # fmt: skip
def test_a_hold_point_begins_with_what_to_do_and_ends_with_the_key_of_the_file(sets: tuple[str, ...]) -> None:
    holds = [one for one in plain(*sets).findings if one.level is Level.HOLD]
    assert len(holds) >= 6
    assert [one.code for one in holds if not one.remedy.startswith(DOING)] == []
    keys = ("launcher.", "vessel.", "charge.")
    named = [one for one in holds if any(key in one.remedy for key in keys)]
    assert len(named) >= 5
    for one in named:
        plain_words, _, key = one.remedy.partition(" (")
        assert not any(name in plain_words for name in keys)
        assert key.startswith(keys)
        assert key.endswith(")")


@pytest.mark.parametrize(("key", "name"), [("regulator", "regulator"), ("relief_valve", "relief valve")])
def test_a_pump_of_no_said_kind_without_a_regulator_is_not_called_a_compressor(key: str, name: str) -> None:
    (none,) = [one for one in plain(f"launcher.pump={{{key}=false}}").findings if one.code.startswith("no-re")]
    assert none.found == f"launcher.pump has no {name}, and nobody says whether it is a compressor"
    (one,) = [one for one in plain(f'launcher.pump={{kind="compressor", {key}=false}}').findings
              if one.code.startswith("no-re")]  # fmt: skip
    assert one.found == f"the compressor has no {name}"
