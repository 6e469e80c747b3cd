"""A layout in the page: edited, its comments kept, saved so that the command line reads it; a servo measured."""

import re
import shutil
import tomllib
import zipfile
from urllib.parse import quote

import pytest
from made import kept
from served import ROOT, needs

from mounts.checks.neighbours import outlines
from mounts.errors import InputError
from mounts.inputs.library import Library
from mounts.inputs.read_layout import read_layout
from mounts.page.layouts import Draft, begin, upload
from mounts.page.plan import Footprints, plan_svg, planned, plans_of
from mounts.page.shelf import Shelf
from mounts.styles import check_asked

YARD = ROOT / "profiles" / "demo" / "yard.toml"
PAIR = """\
# mine, keep it
[layout]
name = "{name}"   # and this
[defaults]
style = "under-bracket"
[boards.main]
board = "12 mm"
outline = [[0, 0], [800, 0], [800, 400], [0, 400]]

# the first
[[mount]]
id = "a"   # east
board = "main"
x = 200
y = 200
"""


@pytest.fixture
def shelf(tmp_path):
    """The demo layout in a folder."""
    needs("tomlkit")
    shutil.copy(YARD, tmp_path)
    return Shelf(tmp_path)


def _comments(text):
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def test_comments_and_order_stay_and_only_what_was_changed_changes(shelf):
    """A value, a move, a copy and a removal: every comment is there, and the file reads as it should."""
    draft = Draft(shelf, "yard.toml")
    before = YARD.read_text()
    assert draft.text == before
    rows = {row.name: row.number for row in draft.rows()}
    draft.put(("mount", rows["main-in"]), "heading_deg", "15")
    draft.move(rows["ladder-2"], 130.04, 310.0)
    new = draft.add(rows["hut-west"])
    draft.put(("mount", new), "id", "hut-new")
    draft.save()

    after = (shelf.folder / "yard.toml").read_text()
    assert _comments(after) == _comments(before)
    kept = [line for line in before.splitlines() if line in after.splitlines()]
    assert len(before.splitlines()) - len(kept) <= 3
    layout = read_layout(shelf.folder / "yard.toml", Library(), check_asked)
    sites = {mount.spec.id: mount.site for mount in layout.mounts}
    assert sites["main-in"].heading_deg == 15
    assert (sites["ladder-2"].x_mm, sites["ladder-2"].y_mm) == (130.0, 310.0)
    assert sites["hut-new"].x_mm == sites["hut-west"].x_mm + 60
    draft.remove(("mount", new))
    draft.undo()
    assert draft.text == after


def test_a_family_is_begun_and_matched(shelf):
    """What its members share is written to its table, one that is not there is begun; the rest stays as it is."""
    draft = Draft(shelf, "yard.toml")
    rows = {row.name: row.number for row in draft.rows()}
    draft.match("ladder", ["wire", "pulses"])
    draft.put(("mount", rows["main-in"]), "family", "main")
    with pytest.raises(InputError, match="no such family"):
        draft.read()
    draft.match("main", ["wire"])
    draft.put(("mount", rows["main-out"]), "family", "main")
    draft.save()

    text = (shelf.folder / "yard.toml").read_text()
    families = tomllib.loads(text)["families"]
    assert families["ladder"] == {"match": ["wire", "pulses"], "force": "0.2-3"}
    assert families["main"] == {"match": ["wire"]}
    assert _comments(text) == _comments(YARD.read_text())
    for family, shared in (("x y", ["wire"]), ("main", []), ("main", ["colour"]), ("a]\n[b", ["wire"])):
        with pytest.raises(InputError, match="must share"):
            draft.match(family, shared)


def test_boards_and_defaults_are_changed_and_comments_stay(shelf):
    """Thickness, roadbed, corners and timber: the values asked for are read back, and no comment is lost."""
    draft = Draft(shelf, "yard.toml")
    junction = ("boards", "junction")
    draft.put(("defaults",), "roadbed", "")
    draft.put(junction, "board", "15")
    draft.put(junction, "roadbed", "1/8 in")
    draft.put((*junction, "outline", 1), 0, "48 in")
    draft.add_corner("junction", 1)
    draft.put((*junction, "framing", 1), "width", "21")
    draft.put((*junction, "framing", 0, "end"), 0, "1210")
    draft.add_framing("junction")
    draft.add_framing("fiddle")
    draft.remove((*junction, "framing", 0))
    draft.add_board("loft")
    draft.add_corner("bridge", 0)
    draft.remove(("boards", "bridge", "outline", 3))
    draft.save()

    text = (shelf.folder / "yard.toml").read_text()
    data = tomllib.loads(text)
    assert _comments(text) == _comments(YARD.read_text())
    assert "roadbed" not in data["defaults"]
    board = data["boards"]["junction"]
    assert (board["board"], board["roadbed"]) == (15, "1/8 in")
    assert board["outline"] == [[0, 0], ["48 in", 0], [1209.6, 300], [1200, 600], [0, 600]]
    assert [(one["name"], one["width"]) for one in board["framing"]] == [("middle joist", 21), ("timber 3", 18)]
    assert len(data["boards"]["fiddle"]["framing"]) == 1
    assert len(data["boards"]["bridge"]["outline"]) == 3
    layout = read_layout(shelf.folder / "yard.toml", Library(), check_asked)
    assert layout.boards["junction"].outline[1] == (pytest.approx(1219.2), 0)
    assert "loft" in layout.boards


WAYS_TO_WRITE = {
    "tables": '[boards.b]\nboard = 9 # thin\n[[boards.b.framing]]\nstart = [0, 0]\nend = [9, 0]\nwidth = 18\n',
    "in brackets": '[boards]\nb = {board = 9, framing = [{start = [0, 0], end = [9, 0], width = 18}]} # thin\n',
    "list in brackets": '[boards.b]\nboard = 9\nframing = [ # thin\n  {start = [0, 0], end = [9, 0], width = 18},\n]\n',
    "dotted": '[boards]\nb.board = 9 # thin\nb.framing = [{start = [0, 0], end = [9, 0], width = 18}]\n',
    "quoted": '[boards."b"]\nboard = 9 # thin\n[[boards."b".framing]]\nstart = [0, 0]\nend = [9, 0]\nwidth = 18\n',
    "apart": '[[boards.b.framing]]\nstart = [0, 0]\nend = [9, 0]\nwidth = 18\n[boards.c]\nboard = 12\n'
             '[boards.b]\nboard = 9 # thin\n',
}  # fmt: skip


@pytest.mark.parametrize("way", WAYS_TO_WRITE)
def test_a_board_is_changed_however_it_is_written(shelf, way):
    """Every way that TOML has to write a board: changed as asked and read back, or refused and left as it is."""
    head = WAYS_TO_WRITE[way] + '[[mount]]\nid = "a"\nstyle = "under-bracket"\nboard = "b"\n'
    (shelf.folder / "w.toml").write_text(head)
    draft = Draft(shelf, "w.toml")
    draft.put(("boards", "b"), "board", "18 mm")
    draft.put(("boards", "b", "framing", 0), "width", "20")
    draft.put(("boards", "b", "framing", 0, "end"), 1, "100")
    draft.add_framing("b")
    draft.put(("defaults",), "roadbed", "cork-3")
    draft.save()

    layout = read_layout(shelf.folder / "w.toml", Library(), check_asked)
    assert layout.mounts[0].spec.board.thickness_mm == 18
    assert layout.mounts[0].spec.roadbed.name == "cork-3"
    first, second = layout.boards["b"].framing
    assert (first.width, first.end, second.name) == (20, (9, 100), "timber 2")
    assert "# thin" in draft.text
    draft.remove(("boards", "b", "framing", 1))
    draft.remove(("boards", "b", "framing", 0))
    assert draft.read().boards["b"].framing == ()


def test_what_batch_cannot_read_is_not_written(shelf):
    """A faulty value, an id twice, a path: each told as `batch` tells it, the file as it was."""
    before = (shelf.folder / "yard.toml").read_bytes()
    for key, written, said in (
        ("throw", "90", "must be"), ("id", "ladder-2", "must differ from the id"),
        ("style", "hutt", "nearest is 'hut'"),
        ("servo", "../../etc/x.toml", "must be a profile's name"), ("board", "/etc/passwd", "must be a profile's name"),
        ("x", "12", "x and y go together"),
    ):  # fmt: skip
        draft = Draft(shelf, "yard.toml")
        draft.put(("mount", 0), key, written)
        with pytest.raises(InputError, match=re.escape(said)):
            draft.save()
    for place, key, written, said in (
        (("defaults",), "servo", "../x.toml", "must be a profile's name"),
        (("boards", "yard"), "board", "sub/dir.toml", "must be a profile's name"),
        (("boards", "yard"), "board", "70", "must be 3 to 60 mm"),
        (("boards", "junction", "framing", 0), "width", "2 m", "must be 1 to 500 mm"),
        (("boards", "junction", "outline", 2), 0, "-90", "whose edges do not cross"),
        (("boards", "junction", "outline", 2), 0, "wide", "must be a length"),
    ):
        draft = Draft(shelf, "yard.toml")
        draft.put(place, key, written)
        with pytest.raises(InputError, match=re.escape(said)):
            draft.save()
    with pytest.raises(InputError, match="unknown field"):
        Draft(shelf, "yard.toml").put(("mount", 0), "set", "x")
    assert (shelf.folder / "yard.toml").read_bytes() == before


def test_a_file_that_somebody_else_changed_is_not_overwritten(shelf):
    """Two tabs, or an editor beside the page."""
    one, other = Draft(shelf, "yard.toml"), Draft(shelf, "yard.toml")
    one.put(("mount", 0), "copies", "2")
    one.save()
    other.put(("mount", 0), "copies", "3")

    with pytest.raises(InputError, match="changed by somebody else"):
        other.save()
    assert other.rows()[0].values["copies"] == "3"


@pytest.mark.parametrize("name", ["../yard.toml", "/etc/passwd", "..", "", "no.toml", "yard.toml/../yard.toml", "y\0"])
def test_only_layouts_of_the_folder_are_opened(shelf, name):
    """A name is looked up in the list of the folder, never joined to a path."""
    with pytest.raises(InputError, match="no such layout"):
        Draft(shelf, name)


def test_new_and_brought_layouts_stay_in_the_folder(shelf):
    """Names that lead out, are there, or bring profiles as files are refused; others go where they belong."""
    for bad in ("../x", "a/b", "..", "CON", "", "x" * 80, "yard"):
        with pytest.raises(InputError):
            begin(shelf, bad)
    assert begin(shelf, "shed") == "shed.toml"
    read_layout(shelf.folder / "shed.toml", Library(), check_asked)
    text = PAIR.format(name="pair")
    assert upload(shelf, "..\\..\\pair.toml", text.encode()) == "pair.toml"
    for name, content in (
        ("pair.toml", text.encode()), ("b.toml", b"\xff\xfe"), ("c.toml", b"x" * 1_000_001), ("d.toml", b"nonsense ="),
        ("e.toml", text.replace('style = "under-bracket"', 'servo = "../x.toml"').encode()),
    ):  # fmt: skip
        with pytest.raises(InputError):
            upload(shelf, name, content)
    assert sorted(path.name for path in shelf.folder.iterdir()) == ["pair.toml", "shed.toml", "yard.toml"]
    assert (shelf.folder / "pair.toml").read_text() == text


def test_neighbours_that_are_too_near_are_told_and_red(shelf):
    """Two mounts in one place are marked; apart they are not."""
    draft = Draft(shelf, begin(shelf, "two"))
    draft.add(0)
    draft.move(1, 305.0, 300.0)
    near = plans_of(draft.read(), Footprints(shelf.folder))[0]
    assert any("neighbour" in line for line in near.told())
    assert "print bad" in plan_svg(near, draft.read(), None)
    draft.move(1, 600.0, 300.0)
    far = plans_of(draft.read(), Footprints(shelf.folder))[0]
    assert far.told() == []
    assert far.nearest((602.0, 300.0)).number == 1
    assert far.nearest((900.0, 100.0)) is None


@pytest.mark.solid
@pytest.mark.parametrize("asked", [{}, {"style": "hut"}], ids=["under", "on"])
def test_what_is_shown_of_a_mount_that_is_not_made_is_in_its_footprint(asked):
    """Servo with its sweep and what lies between the screws, to the roundness of a hole's corners."""
    from shapely import MultiPoint, Polygon, union_all

    mount = kept(**asked)
    shown = planned(mount.design)
    assert [outline.body for outline in shown][-1] == "between its screws"
    made = union_all([Polygon(outline.corners) for outline in outlines(mount.design, mount.meshes)])
    assert made.buffer(0.1).contains(MultiPoint([at for outline in shown for at in outline.corners]))
    heights = [outline.z_mm for outline in outlines(mount.design, mount.meshes) if outline.body != "servo"]
    low, high = shown[-1].z_mm
    assert min(z for z, _ in heights) - 0.1 <= low < high <= max(z for _, z in heights) + 0.1


def _change_the_board(tab, plan):
    """Roadbed, thickness in inches, a corner moved, framing added: the plan follows; what is refused is told there."""
    tab.get_by_label("unit", exact=True).click()
    tab.get_by_role("option", name="inches").click()
    tab.get_by_label("x, in", exact=True).wait_for()
    form = tab.get_by_role("region", name="Boards", exact=True)
    form.get_by_text("Board main", exact=True).click()
    form.get_by_label("board", exact=True).fill("3")
    form.locator(".q-field--error").get_by_text("must be 3 to 60 mm").wait_for()
    form.get_by_label("board", exact=True).fill("1/2")
    form.locator(".q-field--error").wait_for(state="detached")
    shape = plan.locator(".board").get_attribute("points")
    form.get_by_label("corner 2: x, in").fill("900 mm")
    tab.wait_for_function(
        "shape => document.querySelector('.plan-picture svg .board').getAttribute('points') !== shape", arg=shape
    )
    form.get_by_role("button", name="Add framing").click()
    plan.locator(".framing").wait_for()
    form.get_by_label("say more of it").nth(1).click()
    tab.get_by_role("option", name="roadbed", exact=True).click()
    form.get_by_label("roadbed", exact=True).fill("cork-3")
    tab.get_by_text(re.compile(r"stands at \d+(\.\d+)? in, [\d.]+ in on main")).wait_for()
    tab.wait_for_timeout(700)  # what is typed is taken when the hand rests


@pytest.mark.solid
def test_a_layout_is_edited_dragged_saved_and_made_in_the_page(served, visit):
    """Comments stay, `batch` reads it, the run makes it, book and zip come from its folder."""
    (served.folder / "pair.toml").write_text(PAIR.format(name="pair"))
    found = visit("/layout?file=pair.toml")
    tab = found.tab
    tab.get_by_role("button", name="pick a").click()
    tab.get_by_role("button", name="Copy the picked one").click()
    plan = tab.locator(".plan-picture svg")
    plan.get_by_text("a-1").wait_for()
    box = plan.bounding_box()
    per_mm = box["width"] / 880  # the board of 800 with 40 round it

    def at(x, y):
        return box["x"] + (x + 40) * per_mm, box["y"] + (400 + 40 - y) * per_mm

    plan.scroll_into_view_if_needed()
    box = plan.bounding_box()
    tab.mouse.move(*at(260, 200))
    tab.mouse.down()
    tab.mouse.move(*at(400, 230), steps=4)
    tab.wait_for_timeout(150)
    tab.mouse.move(*at(500, 250), steps=4)
    tab.wait_for_timeout(400)
    tab.mouse.up()
    tab.get_by_text(re.compile(r"stands at \d+(\.\d)? mm, 2[45]\d(\.\d)? mm on main")).wait_for()
    _change_the_board(tab, plan)
    tab.get_by_role("button", name="Save", exact=True).click()
    tab.get_by_text("saved as pair.toml").wait_for()
    text = (served.folder / "pair.toml").read_text()
    assert all(words in text for words in ("# mine, keep it", "# and this", "# the first", "# east"))
    moved = tomllib.loads(text)["mount"][1]
    assert moved["id"] == "a-1"
    assert (moved["x"], moved["y"]) == (pytest.approx(500, abs=6), pytest.approx(250, abs=6))
    board = read_layout(served.folder / "pair.toml", Library(), check_asked).boards["main"]
    assert (board.board, board.roadbed, len(board.outline), len(board.framing)) == ("1/2 in", "cork-3", 4, 1)
    assert board.outline[1] == (pytest.approx(900), 0)

    tab.get_by_role("button", name="Make what is missing").click()
    tab.get_by_text(re.compile("of 2  a")).wait_for()
    tab.get_by_role("button", name="Stop").click()
    tab.get_by_text(re.compile(r"stopped: \d of 2 are made and stay")).wait_for(timeout=60_000)
    assert not (served.folder / "pair" / "report.json").exists()
    assert not [*(served.folder / "pair").rglob(".partial-*")]
    tab.get_by_role("button", name="Make what is missing").click()
    tab.get_by_text(re.compile(r"2 passed|1 passed, 1 warn|2 warn")).wait_for(timeout=180_000)
    with tab.expect_download() as book:
        tab.get_by_role("button", name="Book", exact=True).click()
    assert book.value.path().read_bytes() == (served.folder / "pair" / "book.pdf").read_bytes()
    with tab.expect_download() as pack:
        tab.get_by_role("button", name=re.compile("as one zip")).click()
    with zipfile.ZipFile(pack.value.path()) as packed:
        assert {"report.json", "a/report.json", "plates/plate-01.3mf"} <= set(packed.namelist())
        assert packed.read("a/a.stl") == (served.folder / "pair" / "a" / "a.stl").read_bytes()


def test_a_servo_is_measured_and_used(served, visit):
    """Eight answers, one of them doubted first; the profile lies in the folder, and a mount is made for it."""
    found = visit("/servo")
    tab = found.tab
    for label, answer in (
        ("case", "22.8 x 12.3 x 22.7"), ("ears", "32.4 x 27.6"), ("height", "15.9"), ("shaft", "6.0"),
        ("boss", "11.7 x 4.1"), ("arm", "15.4"), ("holes", "5 7 9 11 13 15"), ("cable", "near 4.5"),
    ):  # fmt: skip
        tab.get_by_label(re.compile(f"^{label}, such as")).fill(answer)
    tab.get_by_text("nearest class: micro-9g").wait_for()
    tab.get_by_label(re.compile("^case, such as")).fill("228 x 12.3 x 22.7")
    tab.locator(".q-field--error").first.wait_for()
    tab.get_by_role("region", name="case").locator(".q-field--error").get_by_text("mm").wait_for()
    tab.get_by_label(re.compile("^case, such as")).fill("22.8 x 12.3 x 22.7")
    tab.wait_for_function("!document.querySelector('.q-field--error')")
    tab.get_by_label("name of the profile").fill("mine")
    tab.get_by_role("button", name="Save it in the folder").click()
    tab.get_by_text("saved as mine.toml").wait_for()
    profile = tomllib.loads((served.folder / "mine.toml").read_text())
    assert (profile["extends"], profile["case_length_mm"]) == ("micro-9g", 22.8)

    tab.get_by_role("link", name="See a mount for it").click()
    found.until("checks")
    line = tab.locator("code.line").inner_text()
    assert f"--servo {served.folder}/mine.toml" in line


@pytest.mark.parametrize("path", ["/layout?file=yard.toml", "/servo"])
@pytest.mark.parametrize(("scheme", "width"), [("dark", 1400), ("light", 400)])
def test_nothing_for_the_accessibility_checker_on_the_other_pages(served, visit, path, scheme, width):
    """axe-core, every rule; no scrolling sideways."""
    from axe_core_python.sync_playwright import Axe

    shutil.copy(YARD, served.folder)
    found = visit(path, color_scheme=scheme, viewport={"width": width, "height": 900})
    if "layout" in path:
        found.tab.locator(".plan-picture svg text").first.wait_for(timeout=60_000)
        found.tab.get_by_role("button", name="pick main-in").click()
        found.tab.get_by_label("heading deg").wait_for()
    else:
        found.tab.get_by_text("0 of 8 answered").wait_for()

    assert [(one["id"], one["nodes"][0]["html"][:200]) for one in Axe().run(found.tab)["violations"]] == []
    assert found.tab.evaluate("document.documentElement.scrollWidth") <= width


def test_a_hostile_name_in_the_address_opens_nothing(visit):
    """The page says that there is no such layout."""
    found = visit("/layout?file=" + quote("../../../etc/passwd"))

    found.tab.get_by_text("no such layout in this folder").wait_for()
    found.tab.get_by_text("A layout file holds the boards").wait_for()


def test_without_a_layout_the_page_says_what_one_is_and_begins_one(visit):
    """Nothing to press that could only be refused; a new layout brings boards, mounts and what makes them."""
    tab = visit("/layout").tab

    tab.get_by_text("A layout file holds the boards").wait_for()
    parts = [tab.get_by_role("region", name=name, exact=True) for name in ("Boards", "Mounts", "Make it")]
    assert not any(part.is_visible() for part in parts)
    tab.get_by_label("name of a new one").fill("branch-line")
    tab.get_by_role("button", name="Begin it").click()
    for part in parts:
        part.wait_for()
    assert not tab.get_by_text("A layout file holds the boards").is_visible()
