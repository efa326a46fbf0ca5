"""The report page: one file that carries everything it needs, light and dark, on a screen and on paper."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from bottlewright.figures.colours import DARK, LIGHT, class_rules
from bottlewright.findings import Finding, Level, Stage, by_urgency
from bottlewright.quantities import Basis, Quantity
from bottlewright.report.first_page import FirstPage, count_words, rows_of
from bottlewright.report.gathered import counts, kinds, split_wanted
from bottlewright.report.glossary import Word, link_words, picture_svg, picture_words, words_in
from bottlewright.report.style import Picture, inline_drawing, inline_svg

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

__all__ = [
    "Chapter",
    "Header",
    "Number",
    "Section",
    "State",
    "basis_table",
    "fold",
    "headline",
    "on_screen",
    "pair",
    "place",
    "prose",
    "state_of",
    "table",
    "templates",
    "write_report",
]


class State(StrEnum):
    """How a stage of the job stands: not done yet, or the most urgent of its findings; notes leave it at none."""

    OPEN = "open"
    NONE = "none"
    UNCHECKED = "unchecked"
    LOOK = "look"
    HOLD = "hold"
    STOP = "stop"

    @property
    def words(self) -> str:
        """What a reader sees of it; it never says that all is well."""
        longer = {"open": "not checked", "none": "no finding so far", "unchecked": "not checked",
                  "hold": "not before pumping"}
        return longer.get(self, str(self))


_LEVELS = {
    Level.NOTE: "Note", Level.UNCHECKED: "Not checked", Level.LOOK: "Look at this before you go on",
    Level.HOLD: "Not before pumping", Level.STOP: "Stop: do not go on",
}
_CAUTION = (
    "local rules and the person in charge of the site come first. Test the bottle filled with water, wear eye "
    "protection, let nobody come near a bottle under pressure, and launch from a clear field with nothing overhead. "
    "This is a calculation, and it can be wrong."
)


class Number(NamedTuple):
    """A result worth large type: ``Number("apogee", "61 m", "2.9 s after release")``."""

    label: str
    value: str
    remark: str = ""


@dataclass(frozen=True)
class Section:
    """What a package hands to the report.

    Parameters
    ----------
    stage, title, state
        Stage of the job, the main result in a few words, and how it stands.
    html
        Made of `prose`, `headline`, `table`, `fold`, `basis_table`; `place(name)` says where a picture goes.
    pictures
        Figures of the section; those that no `place` calls for come last.
    """

    stage: Stage
    title: str
    state: State
    html: str
    pictures: Sequence[Picture] = field(default=())


@dataclass(frozen=True)
class Chapter:
    """What a package hands to the study: its section of the page, its findings, its numbers and its files.

    Parameters
    ----------
    section
        The package's part of the report.
    findings
        All that it found.
    results
        Numbers for programs, by name with the unit in it, SI.
    files
        Further files for the study's folder: name and content.
    """

    section: Section
    findings: Sequence[Finding] = ()
    results: Mapping[str, Any] = field(default_factory=dict)
    files: Mapping[str, str | bytes] = field(default_factory=dict)


@dataclass(frozen=True)
class Header:
    """The rocket's name, one sentence on what it is, how the report was made, and the paper it is printed on."""

    name: str
    lead: str
    made: str
    paper: Literal["A4", "letter"] = "A4"


def state_of(findings: Iterable[Finding], stage: Stage) -> State:
    """Return how a stage stands by the most urgent of its findings; notes leave it at "no finding so far"."""
    worst = by_urgency(finding for finding in findings if finding.stage is stage)[:1]
    return State.NONE if not worst or worst[0].level is Level.NOTE else State(worst[0].level)


@cache
def templates() -> "Environment":
    """Return the templates of the report and of the page for the field."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("bottlewright.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _part(name: str, *arguments: Any, **context: Any) -> "Markup":
    module = templates().get_template("parts.html").make_module({"levels": _LEVELS, **context})
    part: Markup = getattr(module, name)(*arguments)
    return part


def _markup(html: str) -> "Markup":
    from markupsafe import Markup

    return Markup(html)


def prose(*paragraphs: str) -> str:
    """Return plain text as paragraphs."""
    from markupsafe import escape

    return "".join(f"<p>{escape(text)}</p>\n" for text in paragraphs)


def headline(numbers: Sequence[Number]) -> str:
    """Return the few results that matter most, in large type."""
    kept = (number._replace(value=re.sub(r"(?<=\d) (?=\w)", "\u00a0", number.value)) for number in numbers)
    return str(_part("headline", list(kept)))


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table; a column whose cells all start with a digit or a sign stands to the right."""
    width = max((len(row) for row in rows), default=len(heads))
    numeric = [all(_is_number(row[k]) for row in rows if k < len(row)) and bool(rows) for k in range(width)]
    short = [all(len(row[k]) <= _SHORT for row in rows if k < len(row)) for k in range(width)]
    long = any(len(cell) > _SENTENCE for row in rows for cell in row[1:])
    return str(_part("table", heads, rows, numeric=numeric, short=short, long=long))


_SENTENCE = 28
"""Letters from which a cell counts as a sentence: a telephone then shows the table as a list."""


_SHORT = 12
"""Letters up to which the cells of a column are not broken."""


def _is_number(text: str) -> bool:
    return text == "" or text.lstrip("−-+±≈<> ")[:1].isdigit()


def pair(*parts: str) -> str:
    """Return parts that stand one under the other on a screen and side by side on paper."""
    return f'<div class="pair">{"".join(f"<div>{part}</div>" for part in parts)}</div>'


def on_screen(html: str) -> str:
    """Return a part that paper leaves out, because another printed page has it."""
    return f'<div class="again">{html}</div>'


def fold(title: str, html: str) -> str:
    """Return content that is one click away, such as a derivation."""
    return str(_part("fold", title, _markup(html)))


def place(name: str) -> str:
    """Return the mark that puts the picture of that name here."""
    return f"<!--picture:{name}-->"


_RESTS_ON = {
    Basis.MEASURED: "measured or chosen by you",
    Basis.TABLE: "from a table",
    Basis.ASSUMED: "assumed",
}


def basis_table(values: Mapping[str, tuple[Quantity, str]]) -> str:
    """Return, folded, what the results rest on: the assumed first, then the looked up, then what the builder gave.

    Parameters
    ----------
    values
        By key path such as ``charge.pressure``: the quantity, and the quantity written with its unit.
    """
    by_basis = {
        basis: [(path, shown, q.source) for path, (q, shown) in values.items() if q.basis is basis] for basis in Basis
    }
    html = ""
    for basis in (Basis.ASSUMED, Basis.TABLE):
        together: dict[str, list[str]] = {}
        for path, shown, why in by_basis[basis]:
            together.setdefault(why, []).append(f"{path} {shown}".replace(" ", "\u00a0"))
        if together:
            rows = [("; ".join(taken), why) for why, taken in together.items()]
            html += f"<h4>{_RESTS_ON[basis]}</h4>" + str(_part("taken", rows))
    if given := by_basis[Basis.MEASURED]:
        html += f"<h4>{_RESTS_ON[Basis.MEASURED]}</h4>" + str(_part("given", [row[:2] for row in given]))
    counts = ", ".join(f"{len(rows)} {_RESTS_ON[basis]}" for basis, rows in by_basis.items() if rows)
    return fold(f"What this rests on: {counts}", html)


def _with_pictures(section: Section) -> str:
    html = _typeset(section.html)
    for picture in section.pictures:
        narrow = _markup(inline_svg(picture, narrow=True))
        drawn = str(_part("picture", picture.name, _typeset(picture.caption), _markup(inline_svg(picture)), narrow))
        mark = place(picture.name)
        html = html.replace(mark, drawn) if mark in html else html + drawn
    return html


def _typeset(html: str) -> str:
    """Return a piece of the page with a narrow space before each % and with ° for deg."""
    return re.sub(r"(?<=\d)\sdeg\b", "°", re.sub(r"(?<=\d)\s?%", "\u202f%", str(html)))


class _Linker:
    """Links words of the trade at their first use in each part of the page, and keeps which ones."""

    def __init__(self) -> None:
        self.linked: dict[str, Word] = {}

    def __call__(self, html: str) -> str:
        linked, words = link_words(html)
        self.linked |= {word.name: word for word in words}
        return linked


def _explained(linked: Mapping[str, Word]) -> list[dict[str, Any]]:
    """Return the linked words and those that explain them, each drawing with the first word that it shows."""
    entries: list[dict[str, Any]] = []
    drawn: set[str] = set()
    for word in words_in([*linked, *(word.says for word in linked.values())]):
        fresh = bool(word.picture) and word.picture not in drawn
        drawn |= {word.picture}
        drawing = inline_drawing(picture_svg(word.picture), picture_words(word.picture)) if fresh else ""
        says, _ = link_words(word.says, but=[word.name])
        entries.append({"word": word, "says": _markup(says), "drawing": _markup(drawing)})
    return entries


def _level(findings: Sequence[Finding]) -> str:
    levels = {finding.level for finding in findings}
    return next((str(level) for level in (Level.STOP, Level.HOLD, Level.LOOK) if level in levels), "none")


def _verdict(findings: Sequence[Finding]) -> str:
    stops = sum(finding.level is Level.STOP for finding in findings)
    looks = sum(finding.level is Level.LOOK for finding in findings)
    if stops:
        return f"Stop: {_count(stops, 'thing has', 'things have')} to be put right first"
    if looks:
        return f"{_count(looks, 'thing', 'things')} to look at before you go on"
    return "No finding says stop or look so far"


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _colours() -> str:
    def block(tokens: Mapping[str, str]) -> str:
        return "".join(f"--{name}:{colour};" for name, colour in tokens.items())

    figures = class_rules({name: f"var(--{name})" for name in LIGHT})
    night = f"@media screen and (prefers-color-scheme:dark){{:root{{{block(DARK)}}}}}"
    return f":root{{{block(LIGHT)}}}\n{night}\n{figures}"


def _paper(name: str, verdict: str, paper: str) -> str:
    """Return what stands in the margins of every printed page: whose it is, that it says stop, which page it is."""

    def quoted(text: str) -> str:
        return '"' + "".join(c if c.isalnum() or c in " .,:" else f"\\{ord(c):x} " for c in text) + '"'

    boxes = {
        "top-left": quoted(verdict) if verdict.lower().startswith("stop") else "none",
        "bottom-left": quoted(f"{name}: Bottlewright study"),
        "bottom-right": '"page " counter(page) " of " counter(pages)',
    }
    look = f"font: 8pt sans-serif; color: {LIGHT['ink']}"
    margins = " ".join(f"@{box} {{ content: {said}; {look}; }}" for box, said in boxes.items())
    return f"@page {{ size: {paper}; {margins}}}"


def _stages(sections: Sequence[Section]) -> list[dict[str, Any]]:
    """Return every stage with the worst state of its sections; open where it has none."""
    order = list(State)
    stages = []
    for stage in Stage:
        states = [section.state for section in sections if section.stage is stage]
        state = max(states, key=order.index) if states else State.OPEN
        stages.append({"name": stage, "state": state, "linked": bool(states)})
    return stages


def write_report(
    sections: Sequence[Section], findings: Iterable[Finding], header: Header, first: FirstPage | None = None
) -> str:
    """Return the whole page.

    Parameters
    ----------
    sections
        In the order of the work; a stage without one is shown as open.
    findings
        All findings of all packages; stops come first.
    header
        Name, lead, how it was made and the paper.
    first
        What is read first; everything else then folds behind it.
    """
    everything = by_urgency(findings)
    ordered, wanted = split_wanted(everything)
    urgent = kinds(finding for finding in ordered if finding.level is not Level.NOTE)
    notes = kinds(finding for finding in ordered if finding.level is Level.NOTE)
    link = _Linker()
    environment = templates()
    assert environment.loader is not None
    css = environment.loader.get_source(environment, "style.css")[0]
    verdict = first.act.says if first else _verdict(everything)
    return environment.get_template("page.html").render(
        header=header,
        caution=_CAUTION,
        stages=_stages(sections),
        first=_markup(link(_typeset(_first(first)))) if first else "",
        level=first.act.level if first and first.act.level != "none" else _level(everything),
        counts=count_words(counts(everything)),
        urgent=_markup(link(_typeset(_part("findings", urgent)))),
        unchecked=first.act.unchecked if first else (),
        wanted=wanted,
        notes=_markup(link(_typeset(_part("findings", notes)))),
        note_count=len(notes),
        sections=_shown(sections, link),
        words=_explained(link.linked),
        verdict=verdict,
        colours=_markup(_colours()),
        css=_markup(css),
        paper=_markup(_paper(header.name, verdict, header.paper)),
    )


def _first(page: FirstPage) -> str:
    """Return the page that is read first; its pictures have names of their own, for they stand a second time below."""
    drawing = page.drawing and {
        name: _markup(inline_svg(replace(page.drawing, name="first-drawing"), name == "narrow"))
        for name in ("wide", "narrow")
    }
    plan = page.plan
    drawn = plan and {
        "wide": _markup(inline_drawing(plan.wide, plan.says)), "narrow": _markup(inline_drawing(plan.narrow, plan.says))
    }
    template = templates().get_template("first.html")
    return template.render(
        act=page.act, rows=rows_of(page), actions=page.actions, drawing=drawing, plan=drawn, levels=_LEVELS
    )


def _shown(sections: Sequence[Section], link: _Linker) -> list[dict[str, Any]]:
    """Return what the template needs of each section; the first of a stage is where the stage is jumped to."""
    stages = [section.stage for section in sections]
    return [
        {
            "stage": section.stage,
            "title": section.title,
            "state": section.state,
            "html": _markup(link(_with_pictures(section))),
            "first": section.stage not in stages[:number],
        }
        for number, section in enumerate(sections)
    ]
