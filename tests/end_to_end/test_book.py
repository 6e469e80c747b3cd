"""The book of a small layout through the command line: what it has, that it is made once, and the same each time."""

import csv
import hashlib
import io
import json

import pytest
from PIL import Image
from printed import pages

from mounts.cli import main

pytestmark = pytest.mark.solid
LAYOUT = """
[layout]
name = "pair"
outputs = 8

[defaults]
style = "under-bracket"
board = "front"
together = "crossover"

[boards.front]
board = "12 mm"
outline = [[0, 0], [400, 0], [400, 300], [0, 300]]

[[boards.front.framing]]
name = "joist"
start = [200, 0]
end = [200, 300]
width = 18

[[mount]]
id = "north"
x = 100
y = 100
channel = 7

[[mount]]
id = "south"
x = 300
y = 100
heading_deg = 180
mirror = true
"""


def tree(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The layout's file and its folder, made once."""
    folder = tmp_path_factory.mktemp("book")
    file = folder / "pair.toml"
    file.write_text(
        LAYOUT.replace('together = "crossover"\n', "").replace("[[mount]]", '[[mount]]\ntogether = "crossover"')
    )
    assert main(["batch", str(file), "--quiet", "--workers", "1", "--out", str(folder / "out")]) == 0
    return file, folder / "out" / "pair"


def test_book_sheet_and_contact_sheet_lie_beside_the_mounts(made):
    """Each is in the report by its digest; the book has a page for each thing it promises, and a chapter a mount."""
    _, folder = made
    report = json.loads((folder / "report.json").read_bytes())

    for name in ("book.pdf", "layout.png", "controller.csv", "controller.json", "controller.h"):
        assert report["files"][name] == hashlib.sha256((folder / name).read_bytes()).hexdigest()
    found = pages((folder / "book.pdf").read_bytes())
    text = " ".join(page.text for page in found)
    for words in (
        "Board front, 1 : ", "Shopping list", "for brackets and frames", "Printing", "north is tried for south",
        "plate-01.3mf: try first, brackets and frames", "Controller", "Supply, 5 V",
    ):  # fmt: skip
        assert words in text
    assert sum("Drilling template" in page.text for page in found) == 2
    assert (folder / "layout.png").stat().st_size > 10_000
    with Image.open(folder / "layout.png") as picture:
        assert picture.width > picture.height
    assert not (folder / "north" / "north.pdf").exists()


def test_the_plan_is_to_scale(made):
    """At 1 : 5 an outline of 400 x 300 mm is 80 x 60 mm, and both pins stand where the file says."""
    first = pages((made[1] / "book.pdf").read_bytes())[0]

    reduced = int(first.text.split("Board front, 1 : ")[1].split()[0])
    boards = [
        path for path in first.paths
        if tuple(path.max(axis=0) - path.min(axis=0)) == pytest.approx((400 / reduced, 300 / reduced), abs=0.02)
    ]  # fmt: skip
    low = boards[0].min(axis=0)
    pins = first.circles[abs(first.circles[:, 2] - 1.2) < 0.01][:, :2]
    assert sorted(tuple((pin - low) * reduced) for pin in pins) == [
        pytest.approx((100, 100), abs=0.3), pytest.approx((300, 100), abs=0.3)
    ]  # fmt: skip


def test_the_sheet_has_the_layouts_channels_and_the_reports_pulses(made):
    """A written channel, a dealt one, and the pulses of each mount's report."""
    _, folder = made
    rows = list(csv.DictReader(io.StringIO((folder / "controller.csv").read_text("utf-8"), newline="")))

    assert [(row["channel"], row["id"], row["together"]) for row in rows] == [
        ("0", "south", "crossover"), ("7", "north", "crossover")
    ]  # fmt: skip
    for row in rows:
        pulses = json.loads((folder / row["id"] / "report.json").read_bytes())["drive"]["pulse_us"]
        assert float(row["pulse_us_1"]) == pytest.approx(pulses["normal"], abs=0.06)
        assert float(row["pulse_us_2"]) == pytest.approx(pulses["reverse"], abs=0.06)


def test_another_paper_makes_another_book_and_no_mount_again(made, monkeypatch):
    """`--paper letter`, or the same in the file, builds nothing; back on A4 every file has the bytes it had."""
    file, folder = made
    before = tree(folder)

    def nothing(*_args, **_kwargs):
        raise AssertionError("a mount is built")

    monkeypatch.setattr("mounts.batch.run.build_mount", nothing)
    words = ["batch", str(file), "--quiet", "--out", str(folder.parent)]
    assert main([*words, "--paper", "letter"]) == 0
    assert pages((folder / "book.pdf").read_bytes())[0].wide == pytest.approx(215.9, abs=0.01)
    file.write_text(file.read_text().replace("outputs = 8", 'outputs = 8\npaper = "letter"'))
    assert main([*words, "--paper", "none"]) == 0
    assert not (folder / "book.pdf").exists()
    assert main(words) == 0
    assert pages((folder / "book.pdf").read_bytes())[0].wide == pytest.approx(215.9, abs=0.01)
    file.write_text(file.read_text().replace('\npaper = "letter"', ""))
    assert main(words) == 0

    assert tree(folder) == before
