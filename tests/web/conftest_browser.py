"""A served folder behind a real socket, and a browser that shows its pages."""

import shutil
import threading
import time
from contextlib import contextmanager

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from conftest_web import CURLEW
from playwright.sync_api import sync_playwright

from bottlewright.web.app import make_app
from bottlewright.web.door import Door
from bottlewright.web.serve import listening

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine; make test installs it")

PHONES = "127.0.0.2"
"""An address of this computer that stands for one in the local network: it is not the laptop's own."""

SIZES = {"wide": {"width": 1280, "height": 900}, "phone": {"width": 390, "height": 800}}

SMALL = """least => {
  const shown = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: false });
  const seen = (box) => box.width > 1 && box.height > 1 && box.bottom > 0;
  const name = (one) => `${one.tagName} ${one.id || one.ariaLabel || one.textContent.trim() || one.name}`;
  const found = [];
  const pressed = "a[href], button, input, select, textarea, summary, [role=slider], [tabindex]";
  for (const one of document.querySelectorAll(pressed)) {
    if (!shown(one) || one.disabled || one.matches("[type=hidden], .skip, main, dialog *")) continue;
    if (one.matches("a") && getComputedStyle(one).display === "inline") continue;  // a word in a sentence
    const whole = one.matches("[type=radio], [type=checkbox]") ? one.labels[0] : one;  // its label is pressed too
    const { width, height } = whole.getBoundingClientRect();
    if (!seen(one.getBoundingClientRect())) continue;
    if (width < least - 0.5 || height < least - 0.5) found.push(`${name(one).slice(0, 60)}: ${width} x ${height}`);
  }
  return found;
}"""
"""What is to be pressed and has a side under 44 px. A link in a sentence is a word, as WCAG 2.2 has it (2.5.8)."""


class Server:
    """The application behind a real socket."""

    def __init__(self, folder, lan=False):
        listener = listening(0)
        self.port = listener.getsockname()[1]
        self.host = f"127.0.0.1:{self.port}"
        self.url = f"http://{self.host}"
        self.lan = f"http://{PHONES}:{self.port}" if lan else ""
        door = Door(frozenset({f"{PHONES}:{self.port}"})) if lan else None
        self.app = make_app(folder, frozenset({self.host}), door=door)
        self.office = self.app.office
        self.office.warm.ready.wait(300)
        self.listen(listener)

    def listen(self, listener=None):
        """Begin to answer, once more where it had ended."""
        listeners = [listener or listening(self.port), *([listening(self.port, PHONES)] if self.lan else [])]
        self.server = uvicorn.Server(uvicorn.Config(self.app, log_level="error", timeout_graceful_shutdown=1))
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": listeners}, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    def close(self):
        self.server.should_exit = True
        self.thread.join(10)


def open_now(browser):
    """Return the pages of a browser, by the context that they are in."""
    return {context: context.pages for context in browser.contexts}


def shut(browser, before):
    """Shut what was not open before, and forget what was kept for the pages that share a context."""
    for context in browser.contexts:
        if context not in alike(browser).values():
            if context not in before:
                context.close()
            continue
        for page in context.pages:
            if page not in before.get(context, []):
                forget(context, page)
                page.close()


def forget(context, page):
    """Have a browser forget what it keeps for the address of a page."""
    if page.url.startswith("http"):
        told = {"origin": page.url, "storageTypes": "all"}
        context.new_cdp_session(page).send("Storage.clearDataForOrigin", told)


@contextmanager
def launched():
    """Yield a browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


def by_axe(page):
    """Return what axe finds that shuts people out of a page; not what it passes, whose lists are most of its work."""
    return Axe().run(page, options={"resultTypes": ["violations"]})


@contextmanager
def curlew_served(folder, lan=False):
    """Yield a server of a copy of the example."""
    for name in ("rocket.toml", "field.geojson", "prices.csv"):
        if (CURLEW / name).exists():
            (folder / name).write_bytes((CURLEW / name).read_bytes())
    server = Server(folder, lan)
    yield server
    server.close()


def alike(browser):
    """Return the contexts that windows share, by what they look like: a new one costs as much as its first page."""
    return vars(browser).setdefault("alike", {})


def opened(browser, url, size="wide", scheme="light", **more):
    """Return a page and what its console says, violations of its content policy among it.

    Windows of the laptop that look alike are windows of one browser; what it keeps for them goes when a test ends.
    """
    look = (size, scheme, *sorted(more.items()))
    if alike(browser).get(look) not in browser.contexts:
        alike(browser)[look] = browser.new_context(viewport=SIZES[size], color_scheme=scheme, **more)
    page = alike(browser)[look].new_page()
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(url)
    page.wait_for_selector("[data-connected=yes]")
    return page, said
