"""A notebook as a page of Markdown: its words, its code, and what came out where it was run."""

import asyncio
import html
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeAlias

import nbformat

__all__ = ["executed", "kept", "notebook_page"]

Cell: TypeAlias = Mapping[str, Any]

_FRAME = "<style>body{font:14px/1.45 sans-serif;color:#1f2a30}pre{white-space:pre-wrap}svg,img{max-width:100%}</style>"


def kept(path: Path) -> Any:
    """Return a notebook as it is kept."""
    return nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]


def executed(paths: Sequence[Path]) -> list[Any]:
    """Run notebooks beside each other, each where it lies, and return them with what came out."""
    from nbclient import NotebookClient

    async def run(path: Path) -> Any:
        notebook = kept(path)
        await NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(path.parent)}}).async_execute()
        return notebook

    async def run_all() -> list[Any]:
        return list(await asyncio.gather(*map(run, paths)))

    return asyncio.run(run_all())


def notebook_page(notebook: Any, file: str) -> str:
    """Return the page; `file` is the notebook's own name, to fetch it."""
    fetched = f"This page is a notebook: [{file}]({file}). [How to open it](python.md#notebooks) takes two lines.\n"
    parts: list[str] = []
    for cell in notebook.cells:
        parts += _parts(cell)
        if len(parts) == 1:  # under the heading
            head, _, rest = parts[0].partition("\n")
            parts = [head, fetched, rest.strip()]
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
        drawn = f"data:image/png;base64,{data['image/png'].strip()}"
        return f'<p class="out"><img alt="what the cell above draws" src="{drawn}"></p>'
    if "image/svg+xml" in data:
        return f'<div class="out">{_one_block(data["image/svg+xml"])}</div>'
    if "text/html" in data:
        framed = html.escape(_FRAME + data["text/html"], quote=True).replace("\n", "&#10;")
        return f'<iframe class="out" title="what the cell above shows" srcdoc="{framed}"></iframe>'
    text = output.get("text") or data.get("text/plain", "")
    kept = output.get("name") != "stderr" and text.strip()
    return f'<pre class="out">{html.escape(text.rstrip()).replace(chr(10), "&#10;")}</pre>' if kept else ""


def _one_block(text: str) -> str:
    return "".join(line for line in text.splitlines() if line.strip())
