"""What mkdocs asks for while it builds: pages made from the program, files that lie elsewhere, colours."""

import contextlib
import io
import os
import re
import sys
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tools"))

from docsite.api import api_page  # noqa: E402 - mkdocs loads this file by its path
from docsite.notebook_page import executed, kept, notebook_page  # noqa: E402

PACKAGE = ROOT / "src" / "bottlewright"
WORDS = "../src/bottlewright/report/data/words"
FROM_THE_ROOT = {"contributing.md": "CONTRIBUTING.md", "changes.md": "CHANGELOG.md", "security.md": "SECURITY.md"}
UNRUN = "BOTTLEWRIGHT_DOCS_UNRUN"
"""Set to 1, notebooks are shown as they are kept, without what comes out: the tests run them elsewhere."""


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add the pages that nobody writes, and the files that lie outside the folder of the docs."""

    def add(name: str, text: str) -> None:
        files.append(File.generated(config, name, content=text))

    add("api.md", api_page(PACKAGE))
    add("commands.md", commands_page())
    add("assets/colours.css", colours())
    add("assets/site.css", (ROOT / "tools/docsite/theme/site.css").read_text(encoding="utf-8"))
    for name, source in FROM_THE_ROOT.items():
        add(name, from_the_root((ROOT / source).read_text(encoding="utf-8")))
    for drawing in (PACKAGE / "report" / "data" / "words").glob("*.svg"):
        files.append(File.generated(config, f"figures/words/{drawing.name}", abs_src_path=str(drawing)))
    notebooks = sorted(Path(config.docs_dir).rglob("*.ipynb"))
    shown = list(map(kept, notebooks)) if os.environ.get(UNRUN) == "1" else executed(notebooks)
    for path, notebook in zip(notebooks, shown, strict=True):
        add(path.relative_to(config.docs_dir).with_suffix(".md").as_posix(), notebook_page(notebook, path.name))
    return files


def on_page_markdown(markdown: str, page: Page, **_: Any) -> str:
    """Put in the place of a link out of the docs the one to its copy."""
    if page.file.src_uri.startswith("notebooks/"):
        markdown = markdown.replace("](python.md", "](../python.md")
    return markdown.replace(f"]({WORDS}/", "](figures/words/")


def on_page_content(html: str, **_: Any) -> str:
    """Let wide tables scroll by themselves."""
    return html.replace("<table>", '<div class="wide"><table>').replace("</table>", "</table></div>")


def from_the_root(text: str) -> str:
    """Return a page of the project's own folder with its links as they are seen from the docs."""
    names = {path: name for name, path in FROM_THE_ROOT.items()}
    text = re.sub(r"\]\(docs/", "](", text)
    return re.sub(r"\]\(([A-Z]+\.md)", lambda hit: f"]({names.get(hit[1], hit[1])}", text)


def commands_page() -> str:
    """Return what `--help` says of every command."""
    from bottlewright.cli import COMMANDS, main

    parts = ["# Commands", "What `bottlewright COMMAND --help` says, command by command, in the order of the work."]
    before, os.environ["COLUMNS"] = os.environ.get("COLUMNS"), "100"
    for name in COMMANDS:
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.suppress(SystemExit):
            main([name, "--help"])
        parts.append(f"## {name}\n\n```text\n{said.getvalue().strip()}\n```")
    if before is None:
        del os.environ["COLUMNS"]
    else:
        os.environ["COLUMNS"] = before
    return "\n\n".join(parts) + "\n"


def colours() -> str:
    """Return the colours of the program's own pages as CSS variables, by day and by night."""
    from bottlewright.figures.colours import DARK, LIGHT

    day, night = ("".join(f"--{name}: {value}; " for name, value in one.items()) for one in (LIGHT, DARK))
    return f":root {{ {day}}}\n@media (prefers-color-scheme: dark) {{ :root {{ {night}}} }}\n"
