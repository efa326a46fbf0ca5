"""The page of the Python surface, from its docstrings; the modules are read, not run."""

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TypeAlias

__all__ = ["api_page", "markdown_of"]

Definition: TypeAlias = ast.FunctionDef | ast.ClassDef

_HEAD = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
_LISTED = {"Parameters", "Raises", "Attributes"}
_FIRST = """# The Python surface

Made from the docstrings. How it is used stands in [From Python](python.md); this page lists all of it: the functions
of `bottlewright`, the project that they give, and what a project gives in turn. Values are in SI.
"""


def api_page(package: Path) -> str:
    """Return the page, for the package's folder."""
    definitions = dict(_definitions(package))
    listed = ast.literal_eval(_assigned(package / "__init__.py", "_HOMES"))
    classes = [name for name in listed if isinstance(definitions[name], ast.ClassDef)]
    given = [name for name in _given(definitions, "Project") if name not in classes]
    bases = [base.id for name in given for base in _bases(definitions[name]) if base.id in definitions]
    parts = [_FIRST, "## Functions\n", *(_function(definitions[name]) for name in sorted(set(listed) - set(classes)))]
    order = ["Project", *dict.fromkeys([*sorted(bases, key=lambda base: base != "Result"), *given]), *sorted(classes)]
    parts += [_class(definitions[name]) for name in dict.fromkeys(order)]
    return "\n".join(parts)


def _definitions(package: Path) -> Iterator[tuple[str, Definition]]:
    for path in [package / "errors.py", *sorted((package / "project").glob("*.py"))]:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, Definition) and not node.name.startswith("_"):
                yield node.name, node


def _assigned(path: Path, name: str) -> ast.expr:
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and node.targets[0].id == name:
            return node.value
    raise LookupError(name)


def _given(definitions: dict[str, Definition], name: str) -> list[str]:
    """Return the classes that the methods of a class give, in their order."""
    words = [word for method in _methods(definitions[name]) for word in re.findall(r"\w+", _returns(method))]
    return [word for word in dict.fromkeys(words) if isinstance(definitions.get(word), ast.ClassDef)]


def _bases(node: Definition) -> list[ast.Name]:
    return [base for base in node.bases if isinstance(base, ast.Name)] if isinstance(node, ast.ClassDef) else []


def _methods(node: Definition) -> list[ast.FunctionDef]:
    return [one for one in node.body if isinstance(one, ast.FunctionDef) and not one.name.startswith("_")]


class _Unquoted(ast.NodeTransformer):
    """Takes the quotes off types."""

    def visit_arg(self, node: ast.arg) -> ast.arg:
        if isinstance(node.annotation, ast.Constant):
            node.annotation = ast.parse(str(node.annotation.value), mode="eval").body
        return node


def _returns(node: ast.FunctionDef) -> str:
    return ast.unparse(node.returns).strip("'\"") if node.returns else ""


def _function(node: Definition, level: int = 3) -> str:
    assert isinstance(node, ast.FunctionDef)
    marks = {ast.unparse(one) for one in node.decorator_list}
    plain = bool(marks & {"property", "cached_property"})
    arguments = ast.unparse(_Unquoted().visit(node.args)).removeprefix("self").removeprefix(", ")
    call = node.name if plain else f"{node.name}({arguments})"
    head = f"{'#' * level} {node.name}\n\n    {call} -> {_returns(node)}\n"
    return f"{head}\n{markdown_of(ast.get_docstring(node) or '')}\n"


def _class(node: Definition) -> str:
    bases = [base.id for base in _bases(node) if base.id not in ("NamedTuple", "Exception")]
    more = f"All that [{bases[0]}](#{bases[0].lower()}) has, and:\n" if bases and bases[0].endswith("Result") else ""
    parts = [f"## {node.name}\n", markdown_of(ast.get_docstring(node) or ""), "", more, *_values(node)]
    return "\n".join([*parts, *(_function(method) for method in _methods(node))])


def _values(node: Definition) -> Iterator[str]:
    """Yield the fields that a docstring of their own explains."""
    for one, told in zip(node.body, node.body[1:], strict=False):
        words = told.value.value if isinstance(told, ast.Expr) and isinstance(told.value, ast.Constant) else None
        if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name) and isinstance(words, str):
            yield f"- `{one.target.id}`: {' '.join(words.split())}\n"


def markdown_of(docstring: str) -> str:
    """Return a docstring in the style of NumPy as Markdown: sections in bold, what is listed as a list."""
    first, *sections = _HEAD.split(inspect.cleandoc(docstring))
    parts = [first.strip()]
    for name, text in zip(sections[::2], sections[1::2], strict=True):
        parts.append(f"**{name}**")
        parts.append(_list(text) if name in _LISTED else _returned(text))
    return "\n\n".join(parts)


def _list(text: str) -> str:
    rows: list[tuple[str, list[str]]] = []
    for line in text.strip("\n").splitlines():
        if line and not line.startswith(" "):
            rows.append((line, []))
        elif rows:
            rows[-1][1].append(line.strip())
    return "\n".join(f"- `{name}`: {' '.join(words).strip()}" for name, words in rows)


def _returned(text: str) -> str:
    first, *rest = text.strip("\n").splitlines()
    told = [line.strip() for line in rest if line.strip()]
    return f"`{first}`: {' '.join(told)}" if told and rest[0].startswith(" ") else text.strip("\n")
