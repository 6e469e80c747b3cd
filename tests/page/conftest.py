"""A tab on the page: Debian's Chromium, no way out to a network."""

import shutil
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest
from served import FLAGS, needs, serve

CHROMIUM = shutil.which("chromium")
# without a graphics card a press waits until the picture is drawn for the first time; at ten times the load that
# two cores take, 30 s were not enough
_PATIENCE_MS = 90_000


@pytest.fixture(scope="session")
def served(tmp_path_factory):
    """One page for the session, in a folder of its own."""
    needs("nicegui", "tomlkit")
    found = serve(tmp_path_factory.mktemp("bench"))
    yield found
    found.end()


@dataclass
class Visit:
    """A tab, with what it said and asked for."""

    tab: object
    complaints: list = field(default_factory=list)
    asked: list = field(default_factory=list)

    def status(self):
        """The line that says what became of the mount."""
        return self.tab.locator("[role=status]").first.inner_text()

    def until(self, words, seconds=60):
        """Waits until the line has these words."""
        self.tab.wait_for_function(
            "words => document.querySelector('[role=status]')?.innerText.includes(words)", arg=words,
            timeout=seconds * 1000,
        )  # fmt: skip


@pytest.fixture(scope="session")
def browser():
    """One browser for all."""
    needs("playwright", "axe_core_python")
    if CHROMIUM is None:
        pytest.skip("needs Chromium: apt-get install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield found
        found.close()


@contextmanager
def _tabs(served, browser):
    opened = []

    def visiting(path="/", **how):
        context = browser.new_context(**{"viewport": {"width": 1400, "height": 1000}, **how})
        context.set_default_timeout(_PATIENCE_MS)
        found = Visit(context.new_page())
        found.tab.on("console", lambda said: said.type == "error" and found.complaints.append(said.text))
        found.tab.on("pageerror", lambda fault: found.complaints.append(str(fault)))
        found.tab.on("request", lambda request: found.asked.append(request.url))
        opened.append((context, found))
        found.tab.goto(served.address.rstrip("/") + path)
        return found

    yield visiting
    complaints = [line for _, found in opened for line in found.complaints]
    abroad = [url for _, found in opened for url in found.asked
              if not url.startswith((served.address, "data:", "blob:"))]  # fmt: skip
    for context, _ in opened:
        context.close()
    assert complaints == []
    assert abroad == []


@pytest.fixture
def visit(served, browser):
    """Opens tabs; in the end none has complained and none has asked anybody else for anything."""
    with _tabs(served, browser) as visiting:
        yield visiting


@pytest.fixture(scope="module")
def shared_visit(served, browser):
    """The same for all tests of a file, which leave a tab as they found it."""
    with _tabs(served, browser) as visiting:
        yield visiting
