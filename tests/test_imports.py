"""Imports have one direction: no package imports from one above it, and no module grows past its subject."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "src" / "bottlewright"
MODULES = sorted(PACKAGE.rglob("*.py"))

ABOVE_TO_BELOW = [
    {"cli"},
    {"web"},
    {"project"},
    {"study"},
    {"learn"},
    {"logbook"},
    {"cures"},
    {"verdict"},
    {"make"},
    {"field"},
    {"tune"},
    {"proof"},
    {"flight"},
    {"physics"},
]
UNDER_ALL = {"design", "quantities", "findings", "figures", "report", "errors", "names", "system", "data_file"}
UNDER_EACH_OTHER = {
    "errors": set(),
    "quantities": {"errors"},
    "findings": set(),
    "names": set(),
    "system": set(),
    "data_file": {"errors"},
    "design": {"quantities", "findings", "errors", "system", "data_file"},
    "figures": set(),
    "report": {"quantities", "findings", "figures", "data_file"},
    "physics": {"system"},
}


def package_of(module: Path) -> str:
    """Return the package of ours that a module belongs to, or its own name where it lies in none."""
    first = module.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def packages_imported(module: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: a relative import hides its direction"
            names = [node.module or ""]
            if node.module == "bottlewright":
                names = [f"bottlewright.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            parts = name.split(".")
            if parts[0] == "bottlewright" and len(parts) > 1 and parts[1] != "__version__":
                yield parts[1]


def allowed_below(name: str) -> set[str]:
    if name in UNDER_EACH_OTHER:
        return UNDER_EACH_OTHER[name] | {name}
    layer = next(number for number, names in enumerate(ABOVE_TO_BELOW) if name in names)
    return UNDER_ALL.union(*ABOVE_TO_BELOW[layer + 1 :]) | {name}


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_imports_point_down_only(module):
    own = package_of(module)
    if own in ("__init__", "__main__"):
        assert set(packages_imported(module)) <= {"cli", "project", "errors"}
        return
    if own in ("cli", "web"):
        beside = {"web"} if module.name in ("launch.py", "open.py") else set()
        surface = {own, "project", "errors", "system"}
        assert set(packages_imported(module)) <= surface | beside, "it calls the Python surface only"
        return
    assert set(packages_imported(module)) <= allowed_below(own)


def test_every_package_has_its_place_in_the_order():
    placed = UNDER_ALL.union(*ABOVE_TO_BELOW) | {"__init__", "__main__"}
    assert {package_of(module) for module in MODULES} <= placed


def test_a_package_above_would_be_noticed():
    assert "flight" not in allowed_below("physics")
    assert "study" not in allowed_below("proof")
    assert "tune" not in allowed_below("proof")


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_no_module_is_longer_than_450_lines(module):
    assert len(module.read_text(encoding="utf-8").splitlines()) <= 450


def test_figures_are_drawn_without_a_plotting_library():
    for module in MODULES:
        names = {name for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
                 for name in ([node.module or ""] if isinstance(node, ast.ImportFrom) else
                              [alias.name for alias in node.names] if isinstance(node, ast.Import) else [])}
        assert "matplotlib" not in {name.split(".")[0] for name in names}, module


def test_no_module_is_named_after_nothing():
    assert not {module.stem for module in MODULES} & {"utils", "util", "helpers", "manager", "misc", "common_utils"}


def test_no_function_is_written_twice():
    places: dict[str, list[str]] = {}
    for module in MODULES:
        tree = ast.parse(module.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                written = "; ".join(map(ast.dump, body))
                if len(written) > 60:  # a property that hands on one value is no function to share
                    places.setdefault(written, []).append(f"{module.stem}.{node.name}")
    assert [names for names in places.values() if len(names) > 1] == []


STANDARD_NAMES = {
    "flight": "integrate summary outputs vehicle parameters summary_text",
    "tune": "pressure_limit spread_contributions summary_text",
    "design": "formatting validation_messages partial template launcher launcher_parts environment model_options",
    "make": "inputs template_values dimensions findings", "field": "findings keep_out_kinds launch_point",
    "proof": "stand_stability burst_posterior pumping_report pump summary_text", "cli": "runners",
    "project": "watch results_folder",
}  # fmt: skip


def test_modules_carry_the_standard_term_of_their_subject():
    for package, names in STANDARD_NAMES.items():
        found = {module.stem for module in MODULES if module.parent.name == package}
        assert set(names.split()) <= found, package


@pytest.mark.parametrize("package", ["make", "field", "proof", "tune", "verdict", "logbook"])
def test_a_package_of_many_modules_shows_the_path_of_its_data(package):
    doc = ast.get_docstring(ast.parse((PACKAGE / package / "__init__.py").read_text(encoding="utf-8"))) or ""
    assert "path of the data" in doc or "data's path" in doc
    assert len(doc.splitlines()) <= 20


def test_the_command_starts_without_the_heavy_libraries():
    code = (
        "import sys, bottlewright.cli;"
        "print([name for name in ('numba', 'matplotlib', 'scipy', 'shapely') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
