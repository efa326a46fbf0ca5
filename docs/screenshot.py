"""Take the README's picture of the pages: Sketch of the example, in the system's Chromium."""

import os
import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bottlewright.web.serve import serving

ROOT = Path(__file__).parent.parent
PICTURE = ROOT / "docs" / "figures" / "pages.png"
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))))


def main() -> None:
    """Serve a copy of the example and take the picture."""
    with tempfile.TemporaryDirectory() as folder, tempfile.TemporaryDirectory() as cache:
        os.environ["BOTTLEWRIGHT_CACHE"] = cache  # no landings that were worked out before
        for file in (ROOT / "examples" / "curlew").iterdir():
            shutil.copy(file, folder)
        with serving(Path(folder)) as (address, _), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1180, "height": 1290})
            page.goto(f"{address}/sketch")
            page.wait_for_timeout(1500)
            page.screenshot(path=PICTURE)
            browser.close()


if __name__ == "__main__":
    main()
