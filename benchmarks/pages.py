"""From a changed value to its change on screen: one window of Curlew in the system's Chromium, by revision number.

    python benchmarks/pages.py [CHANGES]
"""

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bottlewright.web.serve import serving

EXAMPLE = Path(__file__).parent.parent / "examples" / "curlew"
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))))

# Begins at the change and ends with the frame in which the page that has its revision is painted.
CHANGE = """async (millilitres) => {
  const page = document.documentElement, was = Number(page.dataset.revision);
  const field = document.querySelector("#field-charge-water input[name=value]");
  const shown = new Promise((done) => {
    const look = () => { if (Number(page.dataset.revision) > was) { removeEventListener("shown", look); done(); } };
    addEventListener("shown", look);
  });
  const start = performance.now();
  field.value = `${millilitres} mL`;
  field.dispatchEvent(new Event("change", { bubbles: true }));
  await shown;
  const there = performance.now() - start;
  await new Promise(requestAnimationFrame);
  await new Promise((done) => setTimeout(done, 0));
  return [there, performance.now() - start];
}"""
REST = 500
"""Milliseconds between two changes: the file is written, and the page made whole again."""


def main(changes: int) -> None:
    """Print the middle and the 95th percentile of the time that a change takes, on Sketch and on Tune."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("rocket.toml", "field.geojson", "prices.csv"):
            shutil.copy(EXAMPLE / name, folder)
        with serving(Path(folder)) as (address, _), sync_playwright() as playwright:
            page = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"]).new_page()
            for name in ("sketch", "tune"):
                page.goto(f"{address}/{name}")
                page.wait_for_timeout(8000 if name == "tune" else 1500)  # its map is flown first
                taken = []
                for number in range(changes):
                    taken.append(page.evaluate(CHANGE, 300 + number % 60))
                    page.wait_for_timeout(REST)
                for what, times in zip(("in place", "painted"), map(sorted, zip(*taken, strict=True)), strict=True):
                    print(f"{name}: {changes} changes, {what}: middle {times[len(times) // 2]:.0f} ms, "
                          f"95th percentile {times[int(0.95 * len(times))]:.0f} ms")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
