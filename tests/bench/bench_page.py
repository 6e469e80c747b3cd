"""What the bench page costs: first picture, each kind of change, memory. Medians, beside the machine's bare imports.

PYTHONPATH=.:tests .venv/bin/python tests/bench/bench_page.py           # 50 changes of each kind
PYTHONPATH=.:tests .venv/bin/python tests/bench/bench_page.py --many 1000    # memory over so many changes too
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from served import FLAGS, serve

CHANGES = 50
TOLD_EVERY = 200
IMPORTS = {
    "numbers: scipy, pydantic, manifold3d": "import scipy.optimize, scipy.interpolate, pydantic, manifold3d",
    "solid: cadquery": "import cadquery",
    "page: nicegui": "import nicegui.ui",
}


def main() -> None:
    """Prints a row for each thing that is timed."""
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--many", type=int, default=0, metavar="CHANGES")
    many = arguments.parse_args().many
    for name, code in IMPORTS.items():
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        _row(f"bare import, {name}", [time.perf_counter() - began])
    with tempfile.TemporaryDirectory() as folder:
        began = time.perf_counter()
        page = serve(Path(folder))
        _row("start to address", [time.perf_counter() - began])
        try:
            _look(page, began, many)
        finally:
            page.end()


def _look(page, began, many):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        tab = browser.new_page(viewport={"width": 1400, "height": 1000})
        asked = []
        tab.on("request", lambda request: asked.append(request.url))
        tab.goto(page.address)
        tab.wait_for_function("document.querySelector('[role=status]').innerText.includes('checks')", timeout=120_000)
        _row("start to first numbers and picture", [time.perf_counter() - began])
        tab.get_by_role("heading", name="Steps").wait_for(timeout=180_000)
        _row("start to the printed part and all checks", [time.perf_counter() - began])
        abroad = [url for url in asked if not url.startswith((page.address, "data:", "blob:"))]
        print(f"{len(asked)} requests, {len(abroad)} outside")
        _row(f"a throw by its slider, to new numbers ({CHANGES})", _slid(tab, "throw", "table.rows", CHANGES))
        _row(f"a pulse by its slider, to travel and force ({CHANGES})", _slid(tab, "pulse", "svg.chart", CHANGES))
        solids = []
        for at in range(6):
            began = time.perf_counter()
            _slid(tab, "throw", "table.rows", 1, back=at % 2 == 1)
            tab.get_by_text("The printed part is being made.").wait_for()
            tab.get_by_role("heading", name="Steps").wait_for(timeout=180_000)
            solids.append(time.perf_counter() - began)
        _row("a throw, to the printed part with all its checks (6)", solids)
        if many:
            before, held = _rss_mb(page.process.pid), _held_mb(tab)
            for done in range(0, many, TOLD_EVERY):
                _slid(tab, "throw", "table.rows", TOLD_EVERY)
                print(
                    f"server after {done + TOLD_EVERY} more changes: {_rss_mb(page.process.pid):.0f} MB, was "
                    f"{before:.0f} MB; the tab holds {_held_mb(tab):.0f} MB, was {held:.0f} MB", flush=True,
                )  # fmt: skip
        browser.close()


def _slid(tab, name, shown, count, back=False):
    """Seconds of each of so many moves of a slider by the keyboard until what is shown is another."""
    slider = tab.locator(f'[role=slider][aria-label^="{name}"] .q-slider__track-container')
    slider.focus()
    what = "aria-label" if shown.startswith("svg") else None
    read = f"document.querySelector('{shown}')" + (".getAttribute('aria-label')" if what else ".innerText")
    took = []
    for at in range(count):
        before = tab.evaluate(read)
        began = time.perf_counter()
        tab.keyboard.press("ArrowRight" if (at // 5 + back) % 2 else "ArrowLeft")
        tab.wait_for_function(f"before => {read} !== before", arg=before, timeout=60_000, polling=10)
        took.append(time.perf_counter() - began)
    return took


def _held_mb(tab):
    """What the tab still holds once what nobody holds is cleared away."""
    devtools = tab.context.new_cdp_session(tab)
    devtools.send("HeapProfiler.collectGarbage")
    used = devtools.send("Runtime.getHeapUsage")["usedSize"]
    devtools.detach()
    return used / 1e6


def _rss_mb(pid):
    status = Path(f"/proc/{pid}/status").read_text()
    return int(status.split("VmRSS:")[1].split()[0]) / 1000


def _row(name, seconds):
    ordered = sorted(seconds)
    print(f"{name:58} median {statistics.median(ordered):6.2f} s   most {ordered[-1]:6.2f} s", flush=True)


if __name__ == "__main__":
    main()
