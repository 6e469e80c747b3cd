"""A mount's chapter, measured by another program: to scale, the right way round, whole, and to be copied."""

import io
import re
from functools import cache
from itertools import combinations

import numpy as np
import pdfplumber
import pytest
from made import kept
from PIL import Image
from printed import pages

from mounts import scene
from mounts.asked import asked
from mounts.book.book import render_chapter
from mounts.book.mount import chapter_of, steps_on_paper
from mounts.book.sheets import folded, width_mm
from mounts.export.view import Item
from mounts.pipeline import make_mount
from mounts.scene_wire import HANDLE_MM

pytestmark = pytest.mark.solid

LONG = "the-innermost-turnout-of-the-hidden-sidings-below-the-harbour"[:60]
MOUNTS = {
    "under-bracket": {"id": "a-1", "board": "18 mm"},
    "under-bracket mirrored": {"id": "a-2", "board": "18 mm", "mirror": True, "laid": True},
    "hut": {"id": LONG, "board": "12 mm", "scale": "N"},
    "cabin": {"id": "c-1", "board": "12 mm", "scale": "N", "mirror": True},
    "bank": {"id": "b-1", "board": "18 mm", "scale": "O", "servo": "standard-40g"},
    "stack": {"id": "ş-1", "board": "18 mm", "scale": "HO"},
}
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1, 8.5 × 11 in
EDGE_MM = 6.0  # what home printers leave white at most (common practice, no source)


@cache
def made(name):
    """One mount, built once a session; only the bracket has pictures."""
    found = make_mount(asked(style=name.split()[0], **MOUNTS[name]), picture=name == "under-bracket")
    assert found.report.verdict != "fail"
    return found


@cache
def chapter(name, paper="a4"):
    """Its pages."""
    found = made(name)
    return pages(render_chapter(chapter_of(found.files, found.report), paper))


def template_page(name, paper="a4"):
    return next(page for page in chapter(name, paper) if "Drilling template" in page.text)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", MOUNTS)
def test_pages_have_the_size_of_the_paper_and_bars_of_true_length(name, paper):
    """A page with something at 1:1 has a line of 100.0 mm and one of 4 in, and says to measure them."""
    for page in chapter(name, paper):
        assert (page.wide, page.high) == pytest.approx(PAPERS[paper], abs=0.01)
        level = [np.ptp(path[:, 0]) for path in page.paths if len(path) == 2 and np.ptp(path[:, 1]) < 1e-6]
        if "1:1" in page.text:
            assert np.min(np.abs(np.array(level) - 100.0)) < 0.02
            assert np.min(np.abs(np.array(level) - 101.6)) < 0.02
            assert "Print at 100 %" in page.text
    assert sum("1:1" in page.text for page in chapter(name, paper)) >= 1


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", MOUNTS)
def test_holes_are_where_the_report_says(name, paper):
    """Every fixing to 0.05 mm, a bracket's about the wire's hole and mirrored, a housing's as seen from above."""
    report, page = made(name).report, template_page(name, paper)
    fixings = np.array(report.datums.fixings)[:, :2]
    flip = (1, -1) if report.datums.pivot else (1, 1)
    drawn = page.circles
    if report.datums.pivot:
        hole_mm = report.drive.board_hole_mm
        origin = drawn[np.abs(drawn[:, 2] - hole_mm) < 0.02][0, :2]
    else:
        cable = report.housing.cable_hole
        origin = drawn[np.abs(drawn[:, 2] - cable.drill_mm) < 0.02][0, :2] - np.array(cable.at)

    for fixing in fixings:
        assert np.hypot(*(drawn[:, :2] - (origin + fixing * flip)).T).min() < 0.05


@pytest.mark.parametrize("name", ["under-bracket", "under-bracket mirrored", "hut", "cabin"])
def test_a_fold_puts_the_template_right(name):
    """Folded over along the track an underside's reverse lies where the mount frame has it, at +y; a top's as it is.

    A bracket's paper is held against the board from below and seen from there: what is at +y comes below the track.
    """
    report, page = made(name).report, template_page(name)
    word = next(word for word in page.words if word.text == "reverse")
    if report.datums.pivot:
        drawn = page.circles
        track_y = drawn[np.abs(drawn[:, 2] - report.drive.board_hole_mm) < 0.02][0, 1]
        assert word.top < track_y
        assert "UNDERSIDE" in page.text
    else:
        cable = report.housing.cable_hole
        drawn = page.circles
        pin_y = drawn[np.abs(drawn[:, 2] - cable.drill_mm) < 0.02][0, 1] - cable.at[1]
        assert word.bottom > pin_y
        assert "TOP" in page.text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", MOUNTS)
def test_nothing_is_cut_off_and_no_words_overlap(name, paper):
    """Every line and word lies inside the white edge that printers leave; no word's body meets another's."""
    for page in chapter(name, paper):
        for path in page.paths:
            assert path.min() >= EDGE_MM
            assert (path.max(axis=0) <= (page.wide - EDGE_MM, page.high - EDGE_MM)).all()
        for word in page.words:
            assert word.left >= EDGE_MM
            assert word.right <= page.wide - EDGE_MM
            assert word.bottom >= EDGE_MM
        for one, other in combinations(page.words, 2):
            across = min(one.right, other.right) - max(one.left, other.left)
            up = min(one.top, other.top) - max(one.bottom, other.bottom)
            lower = min(one.size, other.size)
            assert across < 0.05 or up < 0.35 * lower, (one, other)  # the box has the room of accents and descenders


@pytest.mark.parametrize("name", MOUNTS)
def test_text_can_be_copied(name):
    """Id, every pulse, every caution and the beginning of every step come out as they were written."""
    report = made(name).report
    text = " ".join(page.text for page in chapter(name))
    plain = re.sub(r"\[\d+\]", "", text.replace(" ", ""))

    assert report.mount.id in plain
    for us in (report.drive.pulse_us.normal, report.drive.pulse_us.reverse):
        assert f"{us:.0f}" in plain
    for words in (*report.cautions, *(step[:40] for step in report.steps if ".svg" not in step)):
        assert words.replace(" ", "") in plain, words


def test_a_pictures_numbers_are_those_of_the_steps():
    """Each number in the steps' brackets has a piece of the picture, and servo, arm and wire are among them."""
    report, text = made("under-bracket").report, " ".join(page.text for page in chapter("under-bracket"))
    assert {"[1]", "[2]", "[3]", "[4]"} <= set(text.split()) | {word.rstrip(".,;'s") for word in text.split()}
    assert sum(len(page.page.images) for page in chapter("under-bracket")) == 2
    named = [Item(1, "mount", ("plate",)), Item(2, "servo", ("servo",)), Item(3, "own", ("its own screws",))]

    said = [*steps_on_paper(["Put the servo in, the Servo; drive its own screws.", "See x-wire.svg"], named, "x")]

    assert said == ["Put the servo [2] in, the Servo; drive its own screws [3].", "See the wire's sheet"]
    assert report.steps[0].startswith("Power on")


def test_the_wire_on_paper_is_as_long_as_its_centre_line():
    """Bent, a bracket's is as long as the mark of its end tells; straight, a rod's as the integral of its path."""
    report, design = made("under-bracket").report, kept(board="18 mm").design
    page = next(page for page in chapter("under-bracket") if "Wire" in page.text and "1:1" in page.text)
    told = float(re.search(r"E: ([0-9.]+) mm", page.text)[1])
    (curved,) = (path for path in page.drawn(report.drive.wire_mm) if len(path) > 12)
    assert page.length(curved) == pytest.approx(told, abs=0.1)
    straight = [np.ptp(path[:, 0]) for path in page.paths if len(path) == 2 and np.ptp(path[:, 1]) < 1e-6]
    assert np.min(np.abs(np.array(straight) - report.wire_cut_mm)) < 0.02
    assert report.wire_cut_mm >= told + HANDLE_MM
    assert design.drive.wire_mm == report.drive.wire_mm

    design = kept(style="hut", board="12 mm", scale="N").design
    page = next(page for page in chapter("hut") if "Wire" in page.text and "1:1" in page.text)
    path = scene.wire_path(design, 0.0)
    integral = np.linalg.norm(np.diff(path, axis=0), axis=1).sum()
    level = np.array([np.ptp(p[:, 0]) for p in page.paths if len(p) == 2 and np.ptp(p[:, 1]) < 1e-6])
    assert np.min(np.abs(level - integral)) < 0.1


def test_a_drawing_too_large_for_a_page_goes_over_several_that_overlap():
    """The parts of a template 400 mm long repeat 15 mm of each other, with crosses at one place of the drawing."""
    from mounts.book.drawing import draw_to_scale
    from mounts.book.flow import Flow
    from mounts.book.sheets import Sheets
    from mounts.export.paper import Paper

    paper = Paper()
    paper.box((0.0, 0.0), (400.0, 350.0))
    for at in range(10, 400, 20):
        paper.circle((float(at), 170.0), 3.0 + at / 100)
    paper.text((180.0, 60.0), "words that lie across a seam of two parts")
    paper.below(["x: large", "a line"])
    sheets = Sheets("a4", "large")
    flow = Flow(sheets, "large", scaled=True)
    flow.page()
    draw_to_scale(flow, paper)

    found = pages(sheets.done())

    parts = [page for page in found if "part " in page.text]
    assert len(parts) == 6
    whole = {round(size, 2) for page in parts for size in page.circles[:, 2]}
    assert whole == {round(3.0 + at / 100, 2) for at in range(10, 400, 20)}
    one, other = parts[0], parts[1]
    both = {round(size, 2) for size in one.circles[:, 2]} & {round(size, 2) for size in other.circles[:, 2]}
    assert both
    for size in both:
        shift = [page.circles[np.abs(page.circles[:, 2] - size) < 0.01][0, :2] for page in (one, other)]
        crosses = [
            {tuple(np.round(p.mean(axis=0) - at, 1) + 0.0) for p in page.paths if abs(np.ptp(p[:, 1]) - 6.0) < 0.01}
            for page, at in zip((one, other), shift, strict=True)
        ]
        assert len(crosses[0] & crosses[1]) == 2, "crosses lie on crosses where the parts share a hole"
    assert sum("words that lie across a seam" in page.text for page in parts) == 1
    for page in found:
        assert all(path.min() >= EDGE_MM and (path.max(axis=0) < (page.wide, page.high)).all() for path in page.paths)


def test_the_same_bytes_twice_and_fonts_and_bookmarks_in_them():
    """No dates, no random ids; the font is embedded, the outline names template and wire, printers do not scale."""
    found = made("under-bracket")
    first, second = (render_chapter(chapter_of(found.files, found.report), "a4") for _ in range(2))

    assert first == second
    pdf = pdfplumber.open(io.BytesIO(first))
    titles = [str(entry[1]) for entry in pdf.doc.get_outlines()]
    assert any("template" in title for title in titles)
    assert any(title.startswith("Wire") for title in titles)
    assert all("DejaVuSans" in char["fontname"] for page in pdf.pages for char in page.chars)
    assert b"/FontFile2" in first
    assert b"/PrintScaling /None" in first


def test_a_picture_is_embedded_as_it_was():
    """The PNG's pixels come out of the PDF unchanged."""
    found = made("under-bracket")
    page = chapter("under-bracket")[0]

    raw = page.page.images[0]["stream"].get_data()

    png = np.asarray(Image.open(io.BytesIO(found.files["a-1.png"])))
    assert np.frombuffer(raw, np.uint8).reshape(png.shape).tolist() == png.tolist()


@pytest.mark.parametrize("words", ["one two three", "x" * 60, "a hole of 7 mm", "Ø ≤ 3 µs → Привет"])
def test_folded_lines_fit(words):
    """No line is wider than its room, nothing is lost, a number stays with its unit."""
    lines = [*folded(words, 30.0)]

    assert all(width_mm(line) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert not any(line.endswith(" 7") for line in lines)
