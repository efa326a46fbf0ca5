"""Build the source package and, from what is in it, the wheel; print the hash of each: `make package`."""

import hashlib
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
LEFT_OUT = shutil.ignore_patterns(
    ".*", "__pycache__", "*.egg-info", "build", "dist", "out", "*-study", "site", "shared",
)  # fmt: skip
BUILD = "from setuptools.build_meta import build_{0}; build_{0}(__import__('sys').argv[1])"


def build(out: Path) -> list[Path]:
    """Build both packages into a folder, without a network, from copies; return them, the source package first."""
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as work:
        shutil.copytree(ROOT, Path(work) / "tree", ignore=LEFT_OUT)
        source = _built("sdist", Path(work) / "tree", out)
        with tarfile.open(source) as packed:
            packed.extractall(work, filter="data")
        return [source, _built("wheel", Path(work) / source.name.removesuffix(".tar.gz"), out)]


def _built(kind: str, tree: Path, out: Path) -> Path:
    before = set(out.iterdir())
    command = [sys.executable, "-c", BUILD.format(kind), str(out.resolve())]
    done = subprocess.run(command, cwd=tree, capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(done.stdout + done.stderr)
    [fresh] = set(out.iterdir()) - before
    return fresh


def hash_lines(files: list[Path]) -> str:
    """Return the SHA-256 of each file, as `sha256sum` prints them."""
    return "".join(f"{hashlib.sha256(file.read_bytes()).hexdigest()}  {file.name}\n" for file in files)


def main(out: Path) -> None:
    """Build into a folder that is made anew, and print the hashes, which SHA256SUMS beside the packages holds too."""
    shutil.rmtree(out, ignore_errors=True)
    lines = hash_lines(build(out))
    (out / "SHA256SUMS").write_text(lines, encoding="utf-8", newline="")
    print(lines, end="")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "dist")
