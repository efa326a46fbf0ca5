"""Whatever stands in a file, it is read or refused: in the builder's words, in time, by one exception.

Five hundred files and quantities of five kinds, the same each time. BOTTLEWRIGHT_FUZZ=100000 takes as many as that;
see CONTRIBUTING.md.
"""

import os
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd_files import (
    LEAST,
    designs_as_saved,
    maps_as_saved,
    matrices_as_saved,
    odd_quantities,
    overrides,
    prices_as_saved,
)
from refusals import faults_of_design, faults_of_message, faults_of_names, faults_of_problems, within_two_seconds

from bottlewright.design import complete, parse_design
from bottlewright.design.environment import Site
from bottlewright.design.errors import DesignError
from bottlewright.design.price_file import read_prices
from bottlewright.design.reading import read_design
from bottlewright.design.text_files import TextFileError, decode_text
from bottlewright.design.toml_text import TooDeepError, read_toml
from bottlewright.field.site import field_site
from bottlewright.make.sheets.matrix import LIKELIHOODS, SEVERITIES, MatrixError, read_matrix
from bottlewright.quantities import UNITS, Dimension, QuantityError, parse_quantity

COUNT = int(os.environ.get("BOTTLEWRIGHT_FUZZ", "500"))
"""Files of all kinds together."""

MAP = "field.geojson"


def faults_of_a_design_file(file: tuple[bytes, list[str]], folder: Path) -> tuple[bool, list[str]]:
    """Read bytes as a design file; return whether they make a design and what is wrong with how they were met."""
    raw, sets = file
    faults: list[str] = []
    try:
        with within_two_seconds(faults):
            text, notes = decode_text(raw)
    except TextFileError as error:
        faults += faults_of_message(str(error))
        (folder / "rocket.toml").write_bytes(raw)
        with pytest.raises(DesignError) as caught:
            read_design(folder / "rocket.toml", sets)
        return False, faults + faults_of_message(str(caught.value))
    try:
        with within_two_seconds(faults):
            read_toml(text)
    except TooDeepError:
        pass
    try:
        with within_two_seconds(faults):
            design = parse_design(text, sets, notes)
    except DesignError as error:
        return False, faults + faults_of_problems(error)
    return True, faults + faults_of_design(design)


def faults_of_a_map(raw: bytes, folder: Path) -> tuple[bool, list[str]]:
    faults: list[str] = []
    (folder / MAP).write_bytes(raw)
    try:
        with within_two_seconds(faults):
            field = field_site(Site(map=MAP), folder)
    except DesignError as error:
        return False, faults + faults_of_problems(error)
    grounds = [field.boundary] if field.boundary is not None else []
    grounds += [area.ground for area in field.keep_outs]
    faults += [f"made the ground {one.wkt[:80]}" for one in grounds if not (one.is_valid and one.area > 0.0)]
    faults += faults_of_names([area.name for area in field.keep_outs])
    return True, faults + [fault for note in field.notes for fault in faults_of_message(note.found, 9_000)]


def faults_of_prices(raw: bytes, _: Path) -> tuple[bool, list[str]]:
    faults: list[str] = []
    notes: list[str] = []
    try:
        with within_two_seconds(faults):
            prices = read_prices(decode_text(raw).text, notes.append)
    except ValueError as error:
        faults += [] if type(error) in (ValueError, TextFileError) else [f"raised {type(error)}"]
        return False, faults + faults_of_message(str(error))
    faults += faults_of_names(prices) + [fault for note in notes for fault in faults_of_message(note)]
    return True, faults + [f"{part} costs {price}" for part, price in prices.items() if not 0.0 <= price < 1e7]


def faults_of_a_matrix(raw: bytes, _: Path) -> tuple[bool, list[str]]:
    faults: list[str] = []
    notes: list[str] = []
    try:
        with within_two_seconds(faults):
            matrix = read_matrix(decode_text(raw).text, notes.append)
    except (MatrixError, TextFileError) as error:
        return False, faults + faults_of_message(str(error), 9_000)
    words = [matrix.name, matrix.source, *matrix.likely, *matrix.bad, *sum(matrix.cells, ()), *matrix.means.values()]
    faults += faults_of_names(words) + [fault for note in notes for fault in faults_of_message(note)]
    worst = matrix.at(LIKELIHOODS[-1], SEVERITIES[-1])
    return True, faults + ([] if worst == matrix.cells[-1][-1] else ["does not place the worst in its last cell"])


def faults_of_a_quantity(written: tuple[str, Dimension], _: Path) -> tuple[bool, list[str]]:
    text, dimension = written
    try:
        quantity = parse_quantity(text, dimension)
    except QuantityError as error:
        return False, faults_of_message(str(error))
    finite = abs(quantity.value) < float("inf") and 0.0 <= quantity.spread < float("inf")
    return True, faults_of_names([quantity.text]) + ([] if finite else [f"is {quantity}"])


quantities_of_a_kind = st.sampled_from(list(Dimension)).flatmap(
    lambda dimension: st.tuples(odd_quantities(tuple(UNITS[dimension])), st.just(dimension))
)

KINDS = {
    "design": (0.3, st.tuples(designs_as_saved(), overrides()), faults_of_a_design_file),
    "map": (0.3, maps_as_saved(), faults_of_a_map),
    "prices": (0.15, prices_as_saved(), faults_of_prices),
    "matrix": (0.15, matrices_as_saved(), faults_of_a_matrix),
    "quantity": (0.1, quantities_of_a_kind, faults_of_a_quantity),
}
"""Share of all files, how they are drawn, and what is asked of each."""


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_stands_in_it_it_is_read_or_refused_in_words(kind, tmp_path):
    share, files, faults_of = KINDS[kind]
    ends: Counter[bool] = Counter()
    complete(parse_design(LEAST))  # what is loaded at first use takes its time once

    @settings(max_examples=max(round(COUNT * share), 20), deadline=None, suppress_health_check=list(HealthCheck))
    @given(files)
    def met(file):
        read, faults = faults_of(file, tmp_path)
        assert not faults
        ends[read] += 1

    met()
    assert min(ends[True], ends[False]) > 0.05 * ends.total(), "what is all read, or all refused, tries little"


@pytest.mark.parametrize(
    "message",
    ["Input should be", "line 3: 'NoneType' object is not iterable", "holds \x07", "holds \u202e", "x" * 999, ""],
)
def test_a_message_that_is_none_for_a_builder_is_found_out(message):
    assert faults_of_message(message)


def test_a_message_in_words_is_none_of_these():
    assert not faults_of_message('line 3: nozzle.bore is "9 mm" wide; write  bore = "9 mm"')
