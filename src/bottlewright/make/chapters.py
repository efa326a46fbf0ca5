"""Make's part of the study."""

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.findings import Stage
from bottlewright.make.build import Made
from bottlewright.report.html import Chapter, Number, Section, headline, on_screen, prose, state_of, table

__all__ = ["make_chapter"]


def make_chapter(made: Made, folder: str = "make", habit: UnitHabit = METRIC) -> Chapter:
    """Return Make's chapter: what there is to print, when it can fly, what it costs; its files go into a folder."""
    own = [finding for finding in made.findings if finding.stage is Stage.MAKE]
    results = made.results
    weighed = results["dry_mass_kg"]
    weight, by = (results["parts_mass_kg"], "by the sum of the parts") if weighed is None else (weighed, "on the scale")
    launch, cost = results["earliest_launch_day"], results["cost"]
    numbers = [
        Number("earliest launch day", launch or "not known", "by the build alone; findings and weather decide"),
        Number("patterns", f"{results['pattern_sheets']} sheets", "at true size, A4 and Letter"),
        Number("parts", str(results["parts"]), f"{habit.mass(weight)} fly, {by}"),
    ]
    if cost is not None:
        numbers.append(Number("still to pay", f"{cost:.2f} {results['currency']}".strip(), "of what has a price"))
    pack = next(name for name in made.files if name.startswith("pack-"))
    words = prose(
        f"Print {folder}/{pack} at 100\u202f%: drawing, parts, schedule, steps, patterns, risks and checklists."
    )
    rows = [
        (
            task["title"] + (f", rocket {task['rocket']}" if task["rocket"] else ""),
            f"{task['work_s'] / 60:.0f} min",
            _wait(task["wait_s"]),
            task["spells"][0][0][:16].replace("T", " ") if task["spells"] else "",
        )
        for task in results["schedule"]
    ]
    when = table(("task", "work", "then wait", "begins"), rows)
    html = headline(numbers) + words + on_screen(when)  # the pack prints it
    section = Section(Stage.MAKE, f"{results['pattern_sheets']} sheets to print", state_of(own, Stage.MAKE), html)
    files = {f"{folder}/{name}": content for name, content in made.files.items()}
    return Chapter(section, own, results, files)


def _wait(seconds: float) -> str:
    """Return how long glue takes, or nothing."""
    if not seconds:
        return ""
    return f"{seconds / 3600:.3g} h" if seconds >= 3600 else f"{seconds / 60:.0f} min"
