"""The risk sheet and its matrix: every hazard has its limit, no matrix makes a hazard milder, sheet and cover agree."""

import dataclasses
import datetime as dt
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workshop_designs import DABCHICK, design_of

from bottlewright.design.price_file import LARGEST, read_prices
from bottlewright.findings import Finding, Level, Stage, stops
from bottlewright.make.build import Given, build
from bottlewright.make.inputs import _read, risk_findings
from bottlewright.make.sheets.matrix import (
    LARGEST_MATRIX,
    LIKELIHOODS,
    SEVERITIES,
    MatrixError,
    read_matrix,
    usual_matrix,
)
from bottlewright.make.sheets.risks import DO_NOT_GO_ON, _stands, about_matrix, about_supervision, risks
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

PLAIN = (files("bottlewright.make") / "data" / "matrix.toml").read_text(encoding="utf-8")

THREE_STEPS = """
name = "matrix of the upper school"
likely = ["unlikely", "possible", "likely"]
bad = ["slight", "serious", "fatal"]
cells = [["green", "green", "amber"], ["green", "amber", "amber"], ["amber", "red", "red"]]
stop = ["red"]
[means]
green = "keep the measures"
amber = "the head of science signs"
red = "nobody does it"
[likelihood]
"hardly ever" = "unlikely"
seldom = "unlikely"
"now and then" = "possible"
often = "likely"
"nearly always" = "likely"
[severity]
"a plaster" = "slight"
"a doctor" = "slight"
hospital = "serious"
"life-changing or worse" = "fatal"
"""


def sheet_of(design, findings=(), matrix=None):
    spec = specify(design)
    return risks(spec, template_values(spec), matrix or usual_matrix(), findings)


def found(code, level=Level.STOP, text="4.5 bar planned"):
    return Finding(level, Stage.PROVE, code, "the bottle can burst", text, "3 bar", "a guide", "pump less")


# --- the hazards ----------------------------------------------------------------------------------------------------


def test_every_hazard_has_limit_source_evidence_and_remedy_and_no_gap_in_its_words(dabchick):
    for risk in sheet_of(dabchick):
        for name in ("hazard", "who", "limit", "source", "evidence", "done", "remains", "stands"):
            text = getattr(risk, name)
            assert text, f"{risk.code} has no {name}"
            assert "{" not in text
            assert "None" not in text


def test_the_hazards_of_the_day_are_there_whatever_is_built(dabchick):
    asked = {
        "lightning", "darkness", "frost", "sun-on-the-charge", "lithium", "supervision", "lifting", "mains",
        "relief-valve", "hose-whip", "hearing",
    }  # fmt: skip
    assert asked <= {risk.code for risk in sheet_of(dabchick)}


def test_a_hazard_whose_limit_nobody_has_set_says_so(dabchick):
    sources = {risk.code: risk.source for risk in sheet_of(dabchick)}
    assert sources["cuts"] == "no source"
    assert "NIOSH" in sources["lifting"]
    assert "National Weather Service" in sources["lightning"]


def test_ten_degrees_of_sun_add_what_the_gas_law_says():
    # (4 bar + 1.01325 bar) × 10 K / 288.15 K = 0.174 bar, by hand
    design = design_of(DABCHICK, 'charge.temperature="15 °C"', 'weather.pressure="1013.25 hPa"')
    limit = next(risk.limit for risk in sheet_of(design) if risk.code == "sun-on-the-charge")
    assert "adds 0.17 bar" in limit


def test_the_number_of_young_people_for_one_adult_is_asked_for_and_never_made_up(dabchick):
    assert [finding.code for finding in about_supervision(dabchick)] == ["supervision-unsaid"]
    assert next(about_supervision(dabchick)).level is Level.HOLD
    unsaid = next(risk for risk in sheet_of(dabchick) if risk.code == "supervision")
    assert "______" in unsaid.limit
    said = design_of(DABCHICK, "workshop.children_per_adult=8")
    assert not list(about_supervision(said))
    assert "8 young people" in next(risk for risk in sheet_of(said) if risk.code == "supervision").limit


# --- sheet and cover can't disagree ---------------------------------------------------------------------------------


def test_without_a_stop_no_line_says_do_not_go_on_and_none_says_all_is_well(dabchick):
    for risk in sheet_of(dabchick, [found("old-bottle", Level.LOOK), found("no-own-evidence", Level.HOLD)]):
        assert not risk.stopped
        assert not risk.stands.startswith(DO_NOT_GO_ON)
        assert not {"fine", "safe", "ok", "go"} & set(risk.stands.lower().split())


def test_a_hazard_that_the_program_never_looks_at_is_not_checked():
    assert _stands((), {"findings": []}) == "Not checked"
    assert _stands((), {"findings": ["burst"]}) == "No finding so far"


@pytest.mark.parametrize(
    ("code", "hazard"),
    [("over-rated-pressure", "burst"), ("stored-hot", "burst"), ("under-rated-hose", "line"), ("unstable", "tips"),
     ("opens-too-late", "parachute-stays"), ("too-windy", "carried-off"), ("never-left", "misfire"),
     ("near-freezing", "frost"), ("mass-material-unsaid", "metal"), ("wall-against-mass", "burst"),
     ("cycles-unknown", "burst"), ("too-near-spectators", "comes-down"), ("nobody-has-thought-of-this", "other")],
)  # fmt: skip
def test_a_stop_is_told_in_one_line_of_the_sheet_and_that_line_comes_first(dabchick, code, hazard):
    sheet = sheet_of(dabchick, [found(code), found("old-bottle", Level.LOOK)])
    stopped = [risk for risk in sheet if risk.stopped]
    assert [risk.code for risk in stopped] == [hazard]
    assert stopped == sheet[:1]
    assert stopped[0].stands.startswith(DO_NOT_GO_ON)
    assert "4.5 bar planned" in stopped[0].stands


def test_the_most_urgent_finding_of_a_hazard_is_told():
    sheet = sheet_of(design_of(DABCHICK), [found("old-bottle", Level.LOOK), found("no-own-evidence", Level.HOLD)])
    assert next(risk.stands for risk in sheet if risk.code == "burst").startswith("Not before pumping: ")


def test_a_rocket_that_nothing_slows_is_looked_at_in_the_line_of_its_landing():
    ballistic = design_of(
        DABCHICK.replace('kind = "parachute"\ndiameter = "300 mm"\nspill_hole = "30 mm"', 'kind = "none"')
    )
    sheet = sheet_of(ballistic, [found("ballistic", Level.LOOK, "nose first, 25 m/s")])
    assert next(risk.stands for risk in sheet if risk.code == "comes-down") == "Look first: nose first, 25 m/s"
    assert "parachute-stays" not in {risk.code for risk in sheet}


def test_a_cell_of_the_schools_matrix_that_forbids_it_stops_the_whole_rocket(dabchick):
    strict = read_matrix(THREE_STEPS.replace('[["green", "green", "amber"]', '[["green", "green", "red"]')
                         .replace('["green", "amber", "amber"]', '["green", "amber", "red"]'))  # fmt: skip
    made = build(dabchick, Given(matrix=strict), dt.datetime(2027, 3, 1))
    forbidden = [finding for finding in stops(made.findings) if finding.code.startswith("matrix-forbids-")]
    assert {"matrix-forbids-burst", "matrix-forbids-lightning"} <= {finding.code for finding in forbidden}
    assert all(finding.source == "the school" for finding in forbidden)
    sheet = sheet_of(dabchick, forbidden, strict)
    assert {risk.code for risk in sheet if risk.stopped} == {
        finding.code.removeprefix("matrix-forbids-") for finding in forbidden
    }


def test_every_command_can_ask_what_the_risk_sheet_finds(dabchick, tmp_path):
    file = tmp_path / "rocket.toml"
    assert [finding.code for finding in risk_findings(dabchick, file.parent)] == ["supervision-unsaid"]
    strict = THREE_STEPS.replace('stop = ["red"]', 'stop = ["amber", "red"]')
    (tmp_path / "ours.toml").write_text(strict, encoding="utf-8")
    own = design_of(DABCHICK, 'workshop.matrix="ours.toml"', "workshop.children_per_adult=8")
    codes = {finding.code for finding in stops(risk_findings(own, file.parent))}
    assert "matrix-forbids-burst" in codes
    (tmp_path / "ours.toml").write_text(THREE_STEPS.split("[severity]")[0], encoding="utf-8")
    refused = risk_findings(own, file.parent)
    assert [(finding.code, finding.level) for finding in refused] == [("unread-file", Level.LOOK)]
    assert "severity is missing" in refused[0].found


def test_the_plain_matrix_forbids_no_hazard_by_itself_so_that_every_stop_is_of_a_design(dabchick):
    assert not list(about_matrix(specify(dabchick).features, usual_matrix()))


# --- the matrix -----------------------------------------------------------------------------------------------------


def test_a_matrix_with_fewer_steps_keeps_the_worst_at_its_worst():
    own = read_matrix(THREE_STEPS)
    assert own.severity["life-changing or worse"] == "fatal"
    assert own.at("seldom", "life-changing or worse") == "amber"
    assert own.at("often", "life-changing or worse") == "red"


def test_a_matrix_with_other_steps_and_no_names_is_refused_with_what_would_be_right():
    without = THREE_STEPS.split("[likelihood]")[0]
    with pytest.raises(MatrixError, match=r"likelihood is missing.*which word of likely stands for each of hardly"):
        read_matrix(without)
    with pytest.raises(MatrixError, match=r'severity lacks "hospital"; write which word of bad.*slight, serious'):
        read_matrix(THREE_STEPS.replace('hospital = "serious"\n', ""))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"life-changing or worse" = "fatal"', '"life-changing or worse" = "serious"', "has to take .*'fatal', the"),
        ('hospital = "serious"', 'hospital = "slight"', None),
        ('"a doctor" = "slight"', '"a doctor" = "fatal"', "the worse can't be milder"),
        ('"nearly always" = "likely"', '"nearly always" = "possible"', "the last word of likely"),
        ('hospital = "serious"', 'hospital = "grave"', "'grave', which is no word of bad"),
        ('hospital = "serious"', 'hospitals = "serious"', 'lacks "hospital".*has \'hospitals\''),
        ('red = "nobody does it"', "", "means lacks 'red'"),
        ('stop = ["red"]', 'stop = ["purple"]', "stop has 'purple', which stands in no cell"),
        ('stop = ["red"]', "", "stop is missing; it has to be a list of the words of cells that forbid going on"),
        ('"slight", "serious", "fatal"', '"slight", "slight", "fatal"', "bad has 'slight' twice"),
        ('["amber", "red", "red"]', '["amber", "red", "green"]', "cells has 'green' for 'likely' and 'fatal', milder"),
        ('"unlikely", "possible", "likely"]', '"likely", "possible", "unlikely"]', "the last word of likely"),
    ],
)
def test_a_matrix_that_would_make_a_hazard_milder_is_refused(old, new, words):
    text = THREE_STEPS.replace(old, new, 1)
    assert text != THREE_STEPS
    if words is None:
        assert read_matrix(text).severity["hospital"] == "slight"  # its owner's word: no worse name is milder
        return
    with pytest.raises(MatrixError, match=words):
        read_matrix(text)


@st.composite
def matrices(draw):
    """Draw a matrix of any number of steps with any names for ours, right or wrong."""
    rows, columns = draw(st.integers(1, 6)), draw(st.integers(1, 6))
    likely, bad = [f"l{n}" for n in range(rows)], [f"b{n}" for n in range(columns)]
    cells = [[f"c{draw(st.integers(0, 3))}" for _ in bad] for _ in likely]
    if draw(st.booleans()):
        cells = [[f"c{min(r + c, 3)}" for c in range(columns)] for r in range(rows)]

    def mapped(names, words):
        at = sorted(draw(st.integers(0, len(words) - 1)) for _ in names)
        at[-1] = len(words) - 1 if draw(st.booleans()) else at[-1]
        at = at if draw(st.booleans()) else draw(st.permutations(at))
        return "\n".join(f'"{name}" = "{words[n]}"' for name, n in zip(names, at, strict=True))

    means = "\n".join(f'c{n} = "m{n}"' for n in range(4))
    quoted = str(cells).replace("'", '"')
    return (f"likely = {likely}\nbad = {bad}\ncells = {quoted}\nstop = []\n[means]\n{means}\n"
            f"[likelihood]\n{mapped(LIKELIHOODS, likely)}\n[severity]\n{mapped(SEVERITIES, bad)}\n")  # fmt: skip


@given(matrices())
def test_whatever_matrix_is_taken_the_worse_is_never_milder(text):
    try:
        own = read_matrix(text)
    except MatrixError:
        return
    order = list(own.means)
    for k, likelihood in enumerate(LIKELIHOODS):
        for n, severity in enumerate(SEVERITIES):
            step = order.index(own.at(likelihood, severity))
            assert k == 0 or step >= order.index(own.at(LIKELIHOODS[k - 1], severity))
            assert n == 0 or step >= order.index(own.at(likelihood, SEVERITIES[n - 1]))
    assert own.at(LIKELIHOODS[-1], SEVERITIES[-1]) == own.cells[-1][-1]


def test_our_own_matrix_uses_our_own_names():
    own = usual_matrix()
    assert (own.likely, own.bad) == (LIKELIHOODS, SEVERITIES)
    assert dataclasses.replace(own) == read_matrix(PLAIN)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("likely=", "can't be read"),
        ('likely=["a"]', "^bad is missing; it has to be a list of words$"),
        ('likely=["a"]\nbad=[b]\nbad = "c" d\ncells=[["x"]]', r"line 2.*line 3"),
        ('likely="abc"\nbad=["b"]\ncells=[["x"]]', "^likely is wrong; it has to be a list of words$"),
        ("a = " + "[" * 100_000, "too deep"),
        ("likely\n" * 150, "and 138 more$"),
        (PLAIN.replace('"hardly ever", "seldom", "now', '"hardly\\never", "seldom", "now', 1), "a line break"),
        (PLAIN.replace('bad = ["a plaster"', f'bad = ["{"a" * 100}"', 1), "longer than 60 letters"),
        (PLAIN.replace("likely = [", f"likely = {['a'] * 100} #", 1), "100 steps"),
        (PLAIN.replace('  ["low", "low", "low", "medium"],\n', "", 1), "has to have 5 rows of cells, 4 words each"),
        (PLAIN.replace("cells = [", 'cells = ["x"] #', 1), "can't be read|list of words"),
        (PLAIN.replace('low = "keep the measures"', "low = {x = 1979-05-27}", 1), r"^means has \{x = 1979-05-27\} wh"),
        (PLAIN.replace("[means]", "means = 7\n[mean]", 1), "^means is wrong; it has to be a table"),
    ],
)  # fmt: skip
def test_a_matrix_says_what_is_wrong_with_it(text, words):
    with pytest.raises(MatrixError, match=words):
        read_matrix(text)


def test_a_matrix_with_curly_quotes_is_read_and_says_so():
    said = []
    assert read_matrix(PLAIN.replace('"hardly ever", "seldom"', "“hardly ever”, “seldom”", 1), said.append).likely
    assert "curly quotes" in said[0]


ENCODINGS = [("utf-8-sig", "byte order mark"), ("utf-16", "UTF-16"), ("cp1252", "Windows-1252")]


@pytest.mark.parametrize(("encoding", "said"), ENCODINGS)
def test_matrix_and_prices_in_another_encoding_are_read_and_say_so(tmp_path, encoding, said):
    (tmp_path / "own.toml").write_bytes(THREE_STEPS.replace("upper", "größte").encode(encoding))
    (tmp_path / "prices.csv").write_bytes("part;price\nmaßband;1,20\n".encode(encoding))
    notes: list[Finding] = []
    own = _read(tmp_path, "own.toml", "workshop.matrix", LARGEST_MATRIX, read_matrix, notes)
    prices = _read(tmp_path, "prices.csv", "prices.file", LARGEST, read_prices, notes)
    assert (own.name, prices) == ("matrix of the größte school", {"maßband": 1.2})
    assert [note.code for note in notes] == ["file-text", "file-text"]
    assert all(said in note.found for note in notes)


def test_matrix_and_prices_of_no_bounded_size_are_not_read(tmp_path):
    (tmp_path / "zero").symlink_to("/dev/zero")
    with (tmp_path / "sparse").open("wb") as file:
        file.truncate(2_000_000_000)
    for key, most, reader in (("workshop.matrix", LARGEST_MATRIX, read_matrix), ("prices.file", LARGEST, read_prices)):
        notes: list[Finding] = []
        assert [_read(tmp_path, name, key, most, reader, notes) for name in ("zero", "sparse")] == [None, None]
        assert "not an ordinary file" in notes[0].found
        assert "2000.0 MB" in notes[1].found


def test_a_letter_that_hides_is_shown_where_a_matrix_is_refused():
    text = PLAIN.replace('likely = ["hardly ever"', 'likely = ["\u200bhardly ever"', 1)
    assert "\u200b" in text
    with pytest.raises(MatrixError, match="no word of likely") as refused:
        read_matrix(text)
    assert "\u200b" not in str(refused.value)
