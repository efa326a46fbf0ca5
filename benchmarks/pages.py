"""From a changed value to its change on screen: one window of Curlew in the system's Chromium, by revision number.

    python benchmarks/pages.py [CHANGES]
"""

import shutil
import sys
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from bottlewright.web.app import make_app
from bottlewright.web.serve import listening

EXAMPLE = Path(__file__).parent.parent / "examples" / "curlew"
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))))

# Begins at the change and ends with the frame after the page that has its revision was put in place.
CHANGE = """async (millilitres) => {
  const page = document.documentElement, was = Number(page.dataset.revision);
  const field = document.querySelector("#field-charge-water input[name=value]");
  const start = performance.now();
  field.value = `${millilitres} mL`;
  field.dispatchEvent(new Event("change", { bubbles: true }));
  while (Number(page.dataset.revision) <= was) await new Promise(requestAnimationFrame);
  await new Promise(requestAnimationFrame);
  return performance.now() - start;
}"""


def main(changes: int) -> None:
    """Print the middle and the 95th percentile of the time that a change takes."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("rocket.toml", "field.geojson", "prices.csv"):
            shutil.copy(EXAMPLE / name, folder)
        listener = listening(0)
        host = f"127.0.0.1:{listener.getsockname()[1]}"
        app = make_app(Path(folder), frozenset({host}))
        app.office.warm.ready.wait()
        server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
        threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True).start()
        while not server.started:
            time.sleep(0.01)
        with sync_playwright() as playwright:
            page = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"]).new_page()
            page.goto(f"http://{host}/sketch")
            page.wait_for_timeout(1000)
            taken = sorted(page.evaluate(CHANGE, 300 + number % 60) for number in range(changes))
        server.should_exit = True
    print(f"{changes} changes: middle {taken[len(taken) // 2]:.0f} ms, 95th percentile "
          f"{taken[int(0.95 * len(taken))]:.0f} ms")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
