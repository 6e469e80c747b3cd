"""A layout file: what a table passes on to its mounts, and the line that each fault of it gets."""

import json
import re
import tomllib

import pytest

from mounts.errors import InputError
from mounts.inputs.layout import LayoutFile
from mounts.inputs.library import Library, built_in_folder
from mounts.inputs.read_layout import Layout, read_layout
from mounts.inputs.toml_lines import line_at, lines_of
from mounts.styles import check_asked

HEAD = '[defaults]\nstyle = "under-bracket"\nboard = "main"\n\n[boards.main]\nboard = "plywood-12"\n\n'
ONE = '[[mount]]\nid = "a"\n'


@pytest.fixture
def read(tmp_path):
    """Reads a layout of this text."""

    def run(text: str, name: str = "yard.toml") -> Layout:
        path = tmp_path / name
        path.write_text(text)
        return read_layout(path, Library(beside=tmp_path), check_asked)

    return run


@pytest.fixture
def faults(read, tmp_path):
    """The lines that a faulty layout gets, its folder left out."""

    def run(text: str, name: str = "yard.toml") -> list[str]:
        with pytest.raises(InputError) as caught:
            read(text, name)
        return [fault.replace(f"{tmp_path}/", "") for fault in caught.value.lines]

    return run


def test_a_mounts_own_option_stands_first(read):
    """Mount before family before board before defaults before layout; what none gives is the scale's."""
    layout = read(
        '[layout]\nscale = "N"\nfilament = "abs"\n[defaults]\nstyle = "under-bracket"\nfilament = "pla"\n'
        'roadbed = 1\nmax_depth = 70\n[boards.main]\nboard = "1/2 in"\nroadbed = 2\n'
        'screw = "wood-2.5"\n[families.f]\nmatch = ["wire"]\nheld = "clamped"\n'
        '[[mount]]\nid = "a"\nboard = "main"\nfamily = "f"\n'
        '[[mount]]\nid = "b"\nboard = "main"\nfamily = "f"\nroadbed = 4\nscale = "HO"\nheld = "turning"\n'
    )

    a, b = (mount.spec for mount in layout.mounts)
    assert (a.scale.name, a.filament.name, a.board.thickness_mm, a.roadbed.thickness_mm) == ("N", "pla", 12.7, 2.0)
    assert (a.fixing.name, a.wire_held, b.wire_held) == ("wood-2.5", "clamped", "turning")
    assert (b.scale.name, b.roadbed.thickness_mm, b.max_depth_mm) == ("HO", 4.0, 70.0)


def test_one_edit_of_a_board_changes_every_mount_on_it(read):
    """Two mounts on a named board get its thickness; one on a plain thickness keeps it."""
    text = HEAD + ONE + '[[mount]]\nid = "b"\n[[mount]]\nid = "c"\nboard = 9\n'

    before, after = read(text), read(text.replace("plywood-12", "mdf-18"))

    assert [mount.spec.board.thickness_mm for mount in before.mounts] == [12.0, 12.0, 9.0]
    assert [mount.spec.board.thickness_mm for mount in after.mounts] == [18.0, 18.0, 9.0]


def test_places_take_units(read):
    """x = "3 ft" is 914.4 mm (the international foot, 0.3048 m)."""
    (mount,) = read(HEAD + ONE + 'x = "3 ft"\ny = "1 1/2 in"\nheading_deg = 30\n').mounts

    assert (mount.site.board, mount.site.x_mm, mount.site.y_mm) == ("main", 914.4, 38.1)
    assert mount.site.heading_deg == 30.0


def test_the_layout_is_called_as_its_file(read):
    """Without a name in the header the file's own is the folder's."""
    assert read(HEAD + ONE, "my yard.toml").name == "my yard"
    assert read('[layout]\nname = "East"\n' + HEAD + ONE).name == "East"


BROKEN = {
    "key of another kind of drive": (
        ONE + "track_distance = 40\n",
        "yard.toml:10: mount 'a'.track_distance = 40: does not apply to under-bracket: it hangs under the board, "
        "track and ground are on top; leave it out",
    ),
    "ground under a bracket": (
        ONE + "ground = 3\n",
        "yard.toml:10: mount 'a'.ground = 3: does not apply to under-bracket: it hangs under the board, track and "
        "ground are on top; leave it out",
    ),
    "unknown key": (ONE + "trow = 3\n", "yard.toml:10: mount 'a'.trow = 3: unknown field; nearest is 'throw'"),
    "unknown table": ("[default]\nheld = 1\n" + ONE, "yard.toml:8: default: unknown table; nearest is 'defaults'"),
    "same id": (
        ONE + '[[mount]]\nid = "A"\n',
        "yard.toml:11: mount 'A'.id = 'A': must differ from the id in line 9, capitals aside",
    ),
    "separator": ('[[mount]]\nid = "a/b"\n', "yard.toml:9: mount 'a/b'.id = 'a/b': must be a file name, without '/'"),
    "climbs": (
        '[[mount]]\nid = ".."\n',
        "yard.toml:9: mount '..'.id = '..': must not begin with '-', '.' or a space, nor end with '.' or a space",
    ),
    "control character": (
        '[[mount]]\nid = "a\\u0007"\n',
        "yard.toml:9: mount 'a\\x07'.id = 'a\\x07': must be a file name, without '\\x07'",
    ),
    "reserved on Windows": (
        '[[mount]]\nid = "aux"\n',
        "yard.toml:9: mount 'aux'.id = 'aux': must not be a name Windows keeps for itself, such as CON, NUL or COM1",
    ),
    "reserved by us": (
        '[[mount]]\nid = "Plates"\n',
        "yard.toml:9: mount 'Plates'.id = 'Plates': must not be plates, report.json, book.pdf, layout.png, "
        "controller.csv, controller.json or controller.h, the layout's own",
    ),
    "missing id": ("[[mount]]\nthrow = 3\n", "yard.toml:8: mount[0].id: must be given"),
    "missing profile": (
        ONE + 'servo = "mirco-9g"\n',
        "yard.toml:10: mount 'a'.servo = 'mirco-9g': no such servo profile; nearest is 'micro-9g'",
    ),
    "missing board": (
        ONE + 'board = "mian"\n',
        "yard.toml:10: mount 'a'.board = 'mian': no such board, neither here nor as a profile; nearest is 'main'",
    ),
    "missing family": (
        ONE + 'family = "x"\n',
        "yard.toml:10: mount 'a'.family = 'x': no such family; give it a [families] table",
    ),
    "unit nonsense": (
        ONE + 'throw = "3 kg"\n',
        "yard.toml:10: mount 'a'.throw = '3 kg': has an unknown unit 'kg'; use mm, cm, m, in, ft, thou",
    ),
    "slip of the unit": (
        ONE + 'max_depth = "40 m"\n',
        "yard.toml:10: mount 'a'.max_depth = '40 m' (40000 mm): must be 10 to 200 mm",
    ),
    "style option": (
        ONE + "set = { plate_mmm = 4 }\n",
        "yard.toml:10: mount 'a'.set.plate_mmm = 4: unknown field; nearest is 'plate_mm'",
    ),
    "half a place": (ONE + "x = 4\n", "yard.toml:8: mount 'a'.y: must be given too, x and y go together"),
    "copies in one place": (
        ONE + "copies = 2\nx = 1\ny = 1\n",
        "yard.toml:10: mount 'a'.copies = 2: must be 1 for a mount that has x and y",
    ),
    "lonely family": (
        '[families.f]\nmatch = ["wire"]\n' + ONE + 'family = "f"\n',
        "yard.toml:8: families.f: must have at least 2 mounts with family = 'f'",
    ),
    "shared nonsense": (
        '[families.f]\nmatch = ["colour"]\n' + ONE + 'family = "f"\n[[mount]]\nid = "b"\nfamily = "f"\n',
        "yard.toml:9: families.f.match[0] = 'colour': must be 'arm hole', 'wire', 'pulses' or 'screw pattern'",
    ),
    "crossing outline": (
        "[boards.b]\nboard = 9\noutline = [[0, 0], [9, 9], [9, 0], [0, 9]]\n" + ONE,
        "yard.toml:10: boards.b.outline: must be corners in order, whose edges do not cross",
    ),
    "framing": (
        '[boards.b]\nboard = 9\n[[boards.b.framing]]\nstart = [0, 0]\nend = [9, 0]\nwidth = "2 m"\n' + ONE,
        "yard.toml:13: boards.b.framing[0].width = '2 m' (2000 mm): must be 1 to 500 mm",
    ),
    "two that settle the same": (
        ONE + "depth = 20\novertravel = 1\n",
        "yard.toml:11: mount 'a'.overtravel = 1: must not be given with --depth, which settles it",
    ),
    "no table": ("[boards.x]\nboard = 9\nframing = 3\n" + ONE, "yard.toml:10: boards.x.framing = 3: must be a list"),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_fault_is_one_line_with_mount_key_and_line(faults, kind):
    """Each kind of fault: one line that names the line of the file, the mount, the key and what is allowed."""
    text, told = BROKEN[kind]

    assert faults(HEAD + text) == [told]


def test_a_long_id_is_cut_in_the_line(faults):
    """300 characters are refused, and the line stays readable."""
    (line,) = faults(HEAD + f'[[mount]]\nid = "{"x" * 300}"\n')

    assert line.endswith("must be 1 to 64 characters")
    assert len(line) < 240


def test_all_faults_come_in_one_run_in_the_order_of_the_file(faults):
    """Faults of header, defaults, board, two mounts and a misspelt table: seven lines, sorted."""
    lines = faults(
        '[layout]\nbrimm = 3\n[defaults]\nstyle = "under-braket"\n[boards.main]\nboard = "plywood-1"\n'
        '[[mount]]\nid = "a"\nboard = "main"\nservo = "x-9g"\n[[mount]]\nboard = 18\nswing = 500\n[mounts]\n'
    )

    assert [int(line.split(":")[1]) for line in lines] == [2, 4, 6, 10, 11, 13, 14]


def test_a_fault_that_mounts_inherit_is_told_once(faults):
    """A default's fault has the place of the default, and names the mounts where it is not all of them."""
    text = HEAD.replace("[defaults]\n", '[defaults]\nthrow = "4 mm"\n') + ONE
    narrow = '[[mount]]\nid = "n"\nscale = "N"\n[[mount]]\nid = "m"\nscale = "N"\n'

    (line,) = faults(text + narrow)

    assert line.startswith("yard.toml:2: defaults.throw = '4 mm' (4 mm): must be ")
    assert line.endswith("(for mount 'n' and mount 'm')")


def test_faults_of_a_named_profile_are_told_once(faults, tmp_path):
    """Two mounts name the same faulty file: its fault comes once, under the file's own name."""
    (tmp_path / "mine.toml").write_text('extends = "micro-9g"\ntitle = "mine"\ncase_widht_mm = 12\n')

    (line,) = faults(HEAD.replace("[defaults]\n", '[defaults]\nservo = "mine.toml"\n') + ONE + '[[mount]]\nid = "b"\n')

    assert line == "mine.toml: case_widht_mm = 12: unknown field; nearest is 'case_width_mm'"


LINES = '''# a comment with [[mount]] in it
[layout]  # and one behind
name = "a # no comment"
[boards."the main \\u0062oard"]
a . b = """
[[mount]]
id = "not a key"
"""
outline = [
  [0, 0], # ]
  { x = 1 },
]
[[mount]]
id = 'first'
  [mount.set]
  plate_mm = 3
[[mount]]
[[mount.framing]]
width = 2
'''


def test_lines_are_those_an_editor_shows():
    """Comments, long texts, nested brackets, quoted and dotted keys do not lead the count astray."""
    assert tomllib.loads(LINES)["boards"]["the main board"]["a"]["b"].startswith("[[mount]]")
    found = lines_of(LINES)

    for number, text in enumerate(LINES.splitlines(), start=1):
        if text.strip() in ("width = 2", "plate_mm = 3", "id = 'first'", "outline = [", 'name = "a # no comment"'):
            assert number in found.values()
    board = ("boards", "the main board")
    assert {found[path] for path in (board, (*board, "a", "b"), (*board, "outline"))} == {4, 5, 9}
    assert found["mount", 0, "set", "plate_mm"] == 16
    assert found["mount", 1, "framing", 0, "width"] == 19
    assert ("mount", 2) not in found
    assert line_at(("mount", 1, "framing", 0, "depth"), found) == 18
    assert line_at(("nowhere",), found) is None


def test_schema_knows_every_key(read):
    """The demo layout's keys are all in the JSON Schema, which forbids others."""
    schema = LayoutFile.model_json_schema()
    demo = tomllib.loads((built_in_folder() / "demo" / "yard.toml").read_text())

    def table(reference: dict) -> dict:
        return schema["$defs"][reference["$ref"].rsplit("/", 1)[-1]]

    mount = table(schema["properties"]["mount"]["items"])
    board = table(schema["properties"]["boards"]["additionalProperties"])
    assert mount["additionalProperties"] is False
    assert {key for entry in demo["mount"] for key in entry} <= mount["properties"].keys()
    assert {key for entry in demo["boards"].values() for key in entry} <= board["properties"].keys()
    assert mount["required"] == ["id"]


BOUNDED = ("board", "roadbed", "tie_bar_hole", "depth", "swing", "overtravel", "max_depth", "track_distance",
           "track_radius")  # fmt: skip


@pytest.mark.parametrize("key", BOUNDED)
def test_schema_and_fault_name_the_same_bounds(faults, key):
    """Minimum and maximum of a mount's key are in the JSON Schema; a number beyond either is told with both."""
    options = LayoutFile.model_json_schema()["$defs"]["MountTable"]["properties"][key]
    (allowed,) = {(one["minimum"], one["maximum"]) for one in options["anyOf"] if one.get("type") == "number"}
    text = HEAD.replace('board = "main"\n', "") + ONE + ('board = "main"\n' if key != "board" else "")

    for beyond in (allowed[0] - 0.01, allowed[1] + 0.01):
        unit = "°" if key == "swing" else "mm"
        (told,) = {line for line in faults(f"{text}{key} = {beyond}\n") if "does not apply" not in line}
        assert told.endswith(f"must be {allowed[0]:g} to {allowed[1]:g} {unit}")


@pytest.mark.parametrize(
    ("written", "said"),
    [("0.2", "must be 0.25 to 1000"), ("1001", "must be 0.25 to 1000"), ("true", "must be a number"),
     ('"6 h"', "must be a number"), ("nan", "must be a finite number")],
)  # fmt: skip
def test_hours_of_a_plate_are_bounded(faults, written, said):
    """A plate's hours just outside, no number, or none that ends: one line with the key."""
    (line,) = faults(f"[layout]\nmax_hours = {written}\n[[mount]]\nid = 'a'\nstyle = 'under-bracket'\nboard = 12\n")

    assert re.match(r"yard\.toml:2: layout\.max_hours = .+: ", line)
    assert line.endswith(f": {said}")


@pytest.mark.parametrize(("key", "count"), [("force", 2), ("own_spring", 1)])
def test_schema_bounds_forces(key, count):
    """A band's two ends and a spring have minimum and maximum too."""
    told = json.dumps(LayoutFile.model_json_schema()["$defs"]["MountTable"]["properties"][key])

    assert told.count('"minimum"') == told.count('"maximum"') == count


def test_a_misspelt_key_of_a_board_hides_nothing(faults):
    """The board's key is one fault; its mount is not told that it has no board, and its own faults are told."""
    told = faults(
        '[layout]\nscale = "HO"\n[boards.front]\nbord = "12 mm"\n'
        '[[mount]]\nid = "a"\nboard = "front"\nstyle = "under-braket"\nthroww = 3\nscrew = "wood-9"\n'
    )

    assert [fault.split(" = ")[0].split(".")[-1] for fault in told] == ["bord", "style", "throww", "screw"]
    assert not any("must be given" in fault for fault in told)


def test_channels_are_dealt_in_order_past_those_that_are_written(read):
    """The lowest free numbers from 0, one a copy; written ones keep theirs."""
    more = '[[mount]]\nid = "b"\nchannel = 1\n[[mount]]\nid = "c"\ncopies = 3\n[[mount]]\nid = "d"\n'

    layout = read(HEAD + ONE + more)

    assert [mount.channels for mount in layout.mounts] == [(0,), (1,), (2, 3, 4), (5,)]


def test_a_channel_twice_is_a_fault_of_the_second(faults):
    """Also where copies of the one reach the other; each fault names the line of the first."""
    first = '[[mount]]\nid = "a"\nchannel = 3\ncopies = 2\n'

    (line,) = faults(HEAD + first + '[[mount]]\nid = "b"\nchannel = 4\n')

    assert line == (
        "yard.toml:14: mount 'b'.channel = 4: must differ from the channel in line 10 and of its copies: no two "
        "servos have one output"
    )


def test_what_moves_together_is_more_than_one(read, faults):
    """A name that only one servo has is a slip; copies of one mount may move together."""
    pair = '[[mount]]\nid = "a"\ntogether = "west"\n[[mount]]\nid = "b"\ntogether = "wset"\n'

    assert faults(HEAD + pair) == [
        "yard.toml:10: mount 'a'.together = 'west': must be that of another mount too; nearest is 'wset'",
        "yard.toml:13: mount 'b'.together = 'wset': must be that of another mount too; nearest is 'west'",
    ]
    assert read(HEAD + ONE + 'copies = 2\ntogether = "x"\n').mounts[0].together == "x"
