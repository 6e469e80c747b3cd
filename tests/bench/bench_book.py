"""What paper and pictures cost: ``python tests/bench/bench_book.py``; CPU seconds, shares, and the size of the book.

Of a mount of each style: both pictures against its solid, and its chapter. Of the demo layout: the batch with and
without book, pictures and sheet, one worker each, and whether two books have the same bytes.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

_DEMO = Path(__file__).parents[2] / "profiles" / "demo" / "yard.toml"
_STYLES = ("under-bracket", "hut", "cabin", "bank", "stack")


def _cpu_s(work: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(3):
        begun = time.process_time()
        work()
        best = min(best, time.process_time() - begun)
    return best


def _mount(style: str) -> None:
    """A row: solid, pictures, chapter."""
    from mounts.asked import asked
    from mounts.book.book import render_chapter
    from mounts.book.mount import chapter_of
    from mounts.export.view import render_views
    from mounts.pipeline import design_mount, make_mount

    spec = asked(id="bench", style=style, board="18 mm", scale="HO")
    made = make_mount(spec, picture=True)
    chapter = chapter_of(made.files, made.report)
    designed = design_mount(spec)
    solid_s = _cpu_s(lambda: designed.style.build(designed.design, designed.options))
    pictures_s = _cpu_s(lambda: render_views(chapter.design, chapter.meshes))
    paper_s = _cpu_s(lambda: render_chapter(chapter, "a4"))
    print(f"{style:16} solid {solid_s:5.2f}   pictures {pictures_s:5.2f} = {pictures_s / solid_s:4.2f} × solid   "
          f"chapter {paper_s:5.2f}")  # fmt: skip


def _batch_s(folder: Path, *words: str) -> float:
    """CPU seconds of a batch in fresh processes, workers included."""
    before = os.times()
    command = [sys.executable, "-m", "mounts", "batch", str(_DEMO), "--quiet", "--workers", "1", "--out", str(folder)]
    subprocess.run([*command, *words], check=True)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def main() -> None:
    """Prints the table."""
    for style in _STYLES:
        _mount(style)
    with tempfile.TemporaryDirectory() as folder:
        plain_s = _batch_s(Path(folder) / "plain", "--no-picture", "--paper", "none")
        whole_s = [_batch_s(Path(folder) / name) for name in ("one", "two")]
        books = [(Path(folder) / name / "yard" / "book.pdf").read_bytes() for name in ("one", "two")]
        print(f"demo, nothing drawn {plain_s:6.1f} s")
        print(f"demo, all           {min(whole_s):6.1f} s: paper and pictures {min(whole_s) / plain_s - 1:5.1%} more")
        print(f"book {len(books[0]) / 1e6:.1f} MB, the same bytes twice: {books[0] == books[1]}")


if __name__ == "__main__":
    main()
