"""Run a command of the program as a user does, in a process of its own or in this one."""

import contextlib
import io
import json
import subprocess
import sys
from dataclasses import dataclass
from typing import Any

import pytest

from bottlewright.cli import main


@dataclass
class Done:
    code: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        """The one JSON document on standard output."""
        return json.loads(self.out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))


def bottlewright(*words: object, **options: Any) -> Done:
    """Run the command line in a process of its own."""
    command = [sys.executable, "-m", "bottlewright", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=120, **options)
    return Done(done.returncode, done.stdout, done.stderr)


def ran(*words: object) -> Done:
    """Run the command line in this process: for what does not hang on the process itself, and quicker."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), pytest.raises(SystemExit) as left:
        main([str(word) for word in words])
    code = left.value.code
    assert code is None or isinstance(code, int), "a code, no words"
    return Done(code or 0, out.getvalue(), err.getvalue())
