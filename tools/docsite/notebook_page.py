"""A notebook as a page of Markdown: its words, its code, and what came out where it was run."""

import html
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import nbformat

__all__ = ["executed", "notebook_page"]

Cell = Mapping[str, Any]

_DRAWN = "Values by name, drawn: "


def executed(path: Path) -> Any:
    """Run a notebook where it lies and return it with what came out."""
    from nbclient import NotebookClient

    notebook = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(path.parent)}}).execute()
    return notebook


def notebook_page(notebook: Any, file: str) -> str:
    """Return the page; `file` is the notebook's own name, to fetch it."""
    fetched = f"This page is a notebook: [{file}]({file}). [How to open it](python.md#notebooks) takes two lines.\n"
    parts: list[str] = []
    for cell in notebook.cells:
        parts += _parts(cell)
        if len(parts) == 1:  # under the heading
            head, _, rest = parts[0].partition("\n")
            parts = [head, fetched if "/" not in file else fetched, rest.strip()]
    return "\n\n".join(part for part in parts if part) + "\n"


def _parts(cell: Cell) -> Iterator[str]:
    if cell["cell_type"] == "markdown":
        yield cell["source"]
        return
    yield f"```python\n{cell['source']}\n```"
    for output in cell["outputs"]:
        yield _shown(output)


def _shown(output: Cell) -> str:
    """Return one output as HTML on one block: a picture, else HTML in a frame of its own, else text."""
    data = output.get("data", {})
    if "image/png" in data:
        return f'<p class="out"><img alt="what the cell above draws" src="data:image/png;base64,{data["image/png"].strip()}"></p>'
    if "image/svg+xml" in data:
        return f'<div class="out">{_one_block(data["image/svg+xml"])}</div>'
    if "text/html" in data:
        framed = html.escape(data["text/html"], quote=True).replace("\n", "&#10;")
        return f'<iframe class="out" title="what the cell above shows" srcdoc="{framed}"></iframe>'
    text = output.get("text") or data.get("text/plain", "")
    kept = output.get("name") != "stderr" and text.strip()
    return f'<pre class="out">{html.escape(text.rstrip()).replace(chr(10), "&#10;")}</pre>' if kept else ""


def _one_block(text: str) -> str:
    return "".join(line for line in text.splitlines() if line.strip())
