"""The built-in profiles against the standards they are taken from."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from typing import Any

import pytest
from strategies import built_in

from mounts.inputs.library import KINDS, Library
from mounts.inputs.model import Source

NAMED = {kind: {profile.name: profile for profile in built_in(kind)} for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
def test_every_file_is_a_profile_with_a_source(kind: str) -> None:
    """Every file of a folder reads, and says for each group of figures where they come from."""
    profiles = built_in(kind)

    assert profiles
    assert len({profile.title for profile in profiles}) == len(profiles)


def _figures(value: Any, path: str) -> dict[str, Any]:
    """Every number and word of a dumped profile under its path; a row goes by its first figure, as in ``Source``."""
    if isinstance(value, dict):
        return {key: leaf for name, item in value.items() for key, leaf in _figures(item, f"{path}.{name}").items()}
    if isinstance(value, list) and value and isinstance(value[0], dict):
        rows = (_figures(row, f"{path}[{next(iter(row.values())):g}]") for row in value)
        return {key: leaf for row in rows for key, leaf in row.items()}
    return {path: value}


def _sources_of(path: str, claims: dict[str, Source]) -> list[Source]:
    """The source that names a figure itself, else its table's column, else its whole table."""
    for name in (path, re.sub(r"\[.*?\]", "", path), re.split(r"[.\[]", path)[0]):
        if name in claims:
            return [claims[name]]
    return []


@pytest.mark.parametrize("kind", KINDS)
def test_every_figure_has_its_own_source(kind: str) -> None:
    """Each figure of a shipped profile, written in it or not, has one source, and each source figures that are there.

    What is absent (0, nothing, an empty list, which the models have for it) has none.
    """
    for profile in built_in(kind):
        claimed = Counter(figure for source in profile.source.values() for figure in source.figures)
        claims = {figure: source for source in profile.source.values() for figure in source.figures}
        dumped = profile.model_dump(mode="json", exclude={"name", "title", "source", "kind"})
        figures = {path: leaf for key, value in dumped.items() for path, leaf in _figures(value, key).items()}
        given = {path for path, leaf in figures.items() if leaf or path.split(".")[0] in profile.model_fields_set}

        assert set(claimed.values()) == {1}, profile.name
        without = sorted(path for path in given if figures[path] is not None and not _sources_of(path, claims))
        assert not without, (profile.name, without)
        columns = {re.sub(r"\[.*?\]", "", path) for path in figures}
        assert set(claims) <= {*figures, *columns, *dumped}, profile.name


UNSURE = "from memory|by guess|common practice|assumed|by eye|[Ii]nferred|taken for|chosen between|told apart"


@pytest.mark.parametrize("kind", KINDS)
def test_no_mark_says_more_than_its_text(kind: str) -> None:
    """What is from memory, practice or inferred is never marked as read in a standard or computed from one."""
    for profile in built_in(kind):
        for group, source in profile.source.items():
            if re.search(UNSURE, source.text):
                assert source.mark in {"I", "M", "P"}, (profile.name, group, source)


@pytest.mark.parametrize("kind", KINDS)
def test_weak_marks_say_so_in_words(kind: str) -> None:
    """Memory, practice and inference can be read in the text too, for a reader who does not know the letters."""
    said = {"M": "from memory", "P": "common practice", "I": "inferred|taken for|chosen between|told apart|no figure"}
    for profile in built_in(kind):
        for group, source in profile.source.items():
            if source.mark in said:
                assert re.search(said[source.mark], source.text), (profile.name, group, source)


def test_folders_and_kinds_are_the_same() -> None:
    """No folder of profiles is left unread; beside them only the demo layout has one."""
    folders = {path.name for path in Library().built_in.iterdir() if path.is_dir()}

    assert folders == {*KINDS, "demo"}


def test_names_of_servos_and_scales_are_those_agreed() -> None:
    """Other programs rely on these names."""
    servos = {"submicro-4g", "micro-9g", "micro-13g", "mini-20g", "standard-40g"}

    assert set(NAMED["servo"]) == servos
    assert set(NAMED["scale"]) == {"Z", "N", "TT", "HO", "OO", "S", "O", "I"}


# measured clones and data sheets of each class, least and most, mm; no public standard was found.
# mini-20g: from memory, nothing was found for it
CLASSES: dict[str, dict[str, tuple[float, float]]] = {
    "micro-9g": {
        "case_length_mm": (22.2, 23.0),
        "case_width_mm": (11.75, 12.6),
        "case_height_mm": (22.5, 22.85),
        "flange_span_mm": (31.9, 32.4),
        "flange_thickness_mm": (2.46, 2.5),
        "flange_underside_height_mm": (15.6, 15.9),
        "flange_hole_spacing_mm": (27.1, 27.9),
        "flange_hole_mm": (2.0, 2.6),
        "shaft_offset_mm": (5.9, 6.2),
        "boss_mm": (11.5, 11.8),
        "boss_height_mm": (4.0, 4.2),
        "horn_thickness_mm": (1.4, 1.7),
    },
    "micro-13g": {
        "case_length_mm": (22.8, 23.9),
        "case_width_mm": (12.0, 12.7),
        "flange_span_mm": (32.4, 32.6),
        "flange_thickness_mm": (2.5, 2.8),
        "flange_underside_height_mm": (18.3, 18.3),
        "flange_hole_spacing_mm": (27.6, 28.6),
        "flange_hole_mm": (1.8, 2.2),
        "boss_height_mm": (6.0, 6.0),
    },
    "submicro-4g": {
        "case_length_mm": (20.0, 20.0),
        "case_width_mm": (8.0, 9.2),
        "flange_span_mm": (31.8, 31.8),
        "flange_thickness_mm": (1.15, 1.15),
        "flange_underside_height_mm": (12.8, 12.8),
        "flange_hole_spacing_mm": (26.4, 26.4),
        "shaft_offset_mm": (4.6, 4.6),
    },
    "mini-20g": {
        "case_length_mm": (28, 30),
        "case_width_mm": (12.5, 14),
        "case_height_mm": (24, 26),
        "flange_span_mm": (38, 41),
        "flange_underside_height_mm": (18, 20),
        "flange_hole_spacing_mm": (33, 35),
        "flange_hole_mm": (2, 2.5),
    },
    "standard-40g": {
        "case_length_mm": (39.9, 40.9),
        "case_width_mm": (19.7, 20.3),
        "case_height_mm": (36.1, 36.5),
        "flange_span_mm": (52.8, 55.1),
        "flange_underside_height_mm": (26.5, 26.8),
        "flange_hole_spacing_mm": (47.8, 48.9),
        "flange_hole_pitch_mm": (9.0, 10.2),
        "flange_hole_mm": (4.0, 4.5),
        "shaft_offset_mm": (9.9, 10.15),
        "boss_mm": (12, 13.5),
        "boss_height_mm": (0.4, 1.9),
    },
}
# over all with the spline, case bottom to its tip: another figure of the same data sheets; mini-20g from memory
WITH_SPLINE_MM = {
    "submicro-4g": (24.7, 24.7),
    "micro-9g": (29, 31),
    "micro-13g": (32.45, 32.7),
    "mini-20g": (29.5, 31.5),
    "standard-40g": (41, 43),
}


@pytest.mark.parametrize(
    ("name", "field", "ends"),
    [(name, field, ends) for name, row in CLASSES.items() for field, ends in row.items()],
)
def test_servo_dimension_is_within_its_class(name: str, field: str, ends: tuple[float, float]) -> None:
    """Each default lies between the least and the most that was measured in its class."""
    assert ends[0] <= getattr(NAMED["servo"][name], field) <= ends[1]


@pytest.mark.parametrize(("name", "ends"), WITH_SPLINE_MM.items())
def test_servo_height_adds_up_to_the_spline(name: str, ends: tuple[float, float]) -> None:
    """Flange height and spline height of a profile together give the height data sheets state."""
    servo = NAMED["servo"][name]
    over_all_mm = servo.flange_underside_height_mm + servo.spline_top_height_mm

    assert ends[0] - 1e-9 <= over_all_mm <= ends[1] + 1e-9


@pytest.mark.parametrize(
    ("name", "stall_kgf_cm"),
    [("submicro-4g", 0.5), ("micro-9g", 1.6), ("micro-13g", 1.8), ("mini-20g", 2.2), ("standard-40g", 3.0)],
)
def test_servo_torque_is_the_low_end_of_its_class(name: str, stall_kgf_cm: float) -> None:
    """1 kgf·cm is 98.0665 N·mm by definition; the low end at 4.8 V is used (mini-20g: from memory)."""
    servo = NAMED["servo"][name]

    assert servo.stall_voltage_v == 4.8
    assert servo.stall_torque_nmm == pytest.approx(stall_kgf_cm * 98.0665, abs=0.06)


# NEM 110 with NEM 124, G less E: rows 1 of the check values; NMRA S-3.2 (Feb 2010), G less P in inches, where
# that P is the blade's edge is inferred
GAPS_MM = {
    "Z": 6.5 - 5.6,
    "N": 9 - 7.8,
    "TT": 12 - 10.7,
    "HO": (0.651 - 0.588) * 25.4,
    "OO": (0.752 - 0.688) * 25.4,
    "S": (0.885 - 0.822) * 25.4,
    "O": (1.252 - 1.156) * 25.4,
}
# tie-bar travel usual in practice; common practice, no source
USUAL_THROW_MM = {
    "Z": (1.2, 1.5),
    "N": (1.5, 2.0),
    "TT": (1.8, 2.2),
    "HO": (2.0, 3.0),
    "OO": (2.0, 3.0),
    "S": (2.5, 3.0),
    "O": (3.0, 4.0),
    "I": (4.0, 6.0),
}


@pytest.mark.parametrize(("name", "gap_mm"), GAPS_MM.items())
def test_scale_smallest_throw_is_the_gap_of_the_standard(name: str, gap_mm: float) -> None:
    """Less travel than the standard's gap leaves the open blade where a wheel meets it."""
    assert NAMED["scale"][name].smallest_throw_mm == pytest.approx(gap_mm, abs=0.005)


@pytest.mark.parametrize(("name", "usual"), USUAL_THROW_MM.items())
def test_scale_throw_is_usual_and_a_third_to_half_above_the_gap(name: str, usual: tuple[float, float]) -> None:
    """The default travel is within usual practice, and 30 to 60 % above the gap."""
    scale = NAMED["scale"][name]

    assert usual[0] <= scale.throw_mm <= usual[1]
    assert 1.3 <= scale.throw_mm / scale.smallest_throw_mm <= 1.6
    assert scale.largest_throw_mm >= usual[1]


# NEM 010 (2011): gauge and ratio; OO, which the NEM have not: 4 mm to the foot on H0's track, common practice
@pytest.mark.parametrize(
    ("name", "gauge_mm", "ratio"),
    [
        ("Z", 6.5, 220),
        ("N", 9, 160),
        ("TT", 12, 120),
        ("HO", 16.5, 87),
        ("OO", 16.5, 76.2),
        ("S", 22.5, 64),
        ("O", 32, 45),
        ("I", 45, 32),
    ],
)
def test_scale_gauge_and_ratio(name: str, gauge_mm: float, ratio: float) -> None:
    """Gauge and ratio are those of NEM 010, or of British practice."""
    assert (NAMED["scale"][name].track_gauge_mm, NAMED["scale"][name].ratio) == (gauge_mm, ratio)


# NEM 102 (2017), full widths, in the order of its table: BL1 BL2 BL3 HL1 HL2 HL3 HL4 BL4 BL5 HL5
NEM_102 = {
    "Z": (20, 14, 18, 4.5, 6, 18, 24, 16, 13, 27),
    "N": (27, 18, 25, 6, 8, 25, 33, 22, 18, 37),
    "TT": (36, 24, 32, 8, 10, 33, 43, 28, 22, 48),
    "HO": (48, 32, 42, 11, 14, 45, 59, 38, 30, 65),
    "S": (66, 44, 57, 15, 19, 60, 78, 50, 38, 87),
    "O": (94, 63, 82, 21, 27, 85, 109, 68, 52, 120),
    "I": (130, 87, 114, 30, 38, 118, 150, 93, 71, 165),
}


@pytest.mark.parametrize(("name", "row"), NEM_102.items())
def test_scale_structure_gauge_is_nem_102(name: str, row: tuple[float, ...]) -> None:
    """Every figure of the structure gauge is the standard's."""
    gauge = NAMED["scale"][name].structure_gauge
    keys = ("bl1", "bl2", "bl3", "hl1", "hl2", "hl3", "hl4", "bl4", "bl5", "hl5")

    assert tuple(getattr(gauge, f"{key}_mm") for key in keys) == row


@pytest.mark.parametrize(
    ("name", "ratio"), [("Z", 220), ("N", 160), ("TT", 120), ("HO", 87), ("S", 64), ("O", 45), ("I", 32)]
)
def test_scale_structure_gauge_clears_a_real_vehicle(name: str, ratio: float) -> None:
    """In full size the upper width clears a vehicle of 3.15 m on either side, and is below 4.6 m.

    3.15 m is the width of the international loading gauge, from memory; 4.6 m is less than two tracks are apart
    (common practice, no source).
    """
    assert 3150 < NAMED["scale"][name].structure_gauge.bl1_mm * ratio < 4600


# NEM 103 (2016), widening each side, groups A, B and C
@pytest.mark.parametrize(
    ("name", "radius_mm", "groups"),
    [
        ("Z", 400, (0, 1, 2)),
        ("N", 400, (1, 2, 4)),
        ("TT", 400, (3, 5, 7)),
        ("HO", 400, (7, 11, None)),
        ("Z", 600, (0, 0, 1)),
        ("N", 600, (0, 1, 2)),
        ("TT", 600, (1, 3, 4)),
        ("HO", 600, (4, 6, 9)),
        ("S", 600, (8, 13, 17)),
        ("TT", 1000, (0, 1, 2)),
        ("HO", 1000, (2, 3, 4)),
        ("S", 1000, (4, 7, 9)),
        ("O", 1000, (10, 17, 22)),
    ],
)
def test_scale_curve_widening_is_nem_103(
    name: str, radius_mm: float, groups: tuple[float | None, float | None, float | None]
) -> None:
    """Every figure of the curve widening is the standard's."""
    rows = {row.radius_mm: row for row in NAMED["scale"][name].curve_widening}
    row = rows[radius_mm]

    assert (row.group_a_mm, row.group_b_mm, row.group_c_mm) == groups


# NEM 122 (2007): rail top above formation
@pytest.mark.parametrize(
    ("name", "height_mm"), [("Z", 4), ("N", 6), ("TT", 8), ("HO", 10), ("S", 12), ("O", 16), ("I", 22)]
)
def test_scale_rail_top_stays_below_nem_122(name: str, height_mm: float) -> None:
    """Roadbed, sleeper and rail reach most of the standard's formation height and do not exceed it."""
    scale = NAMED["scale"][name]

    assert scale.roadbed_mm + scale.rail_top_above_roadbed_mm <= height_mm
    assert scale.roadbed_mm + scale.rail_top_above_roadbed_mm >= 0.7 * height_mm


@pytest.mark.parametrize(
    ("name", "ends"),
    [
        # PS 1, performance categories, inches written here as mm
        ("plywood-1-4in", (5.56, 7.14)),
        ("plywood-3-8in", (8.73, 10.32)),
        ("plywood-15-32in", (11.11, 12.70)),
        ("plywood-1-2in", (11.91, 13.49)),
        ("plywood-19-32in", (14.29, 15.88)),
        ("plywood-23-32in", (17.46, 19.05)),
        ("plywood-3-4in", (18.26, 19.84)),
        # maker's table of sanded plywood to EN 315
        ("plywood-6.5", (6.0, 6.9)),
        ("plywood-9", (8.5, 9.4)),
        ("plywood-12", (11.3, 12.5)),
        ("plywood-15", (14.2, 15.6)),
        ("plywood-18", (17.1, 18.7)),
        ("plywood-21", (20.0, 21.8)),
        ("plywood-24", (22.9, 24.9)),
        # ± 0.2 mm, read with EN 324-1 (that it is its limit is inferred)
        ("mdf-12", (11.8, 12.2)),
        # EN 13164 foam ± 2 mm (from memory) on EN 315 plywood
        ("xps-30-on-plywood-6.5", (28 + 6.0, 32 + 6.9)),
    ],
)
def test_board_thickness_spans_what_is_sold(name: str, ends: tuple[float, float]) -> None:
    """Least and most thickness are those of the standard the sheet is sold to."""
    board = NAMED["board"][name]
    spanned = (board.thickness_mm - board.under_mm, board.thickness_mm + board.over_mm)

    assert spanned == pytest.approx(ends, abs=0.011)


def test_board_holds_screws_as_wood_of_its_density() -> None:
    """Allowable withdrawal is 2850·G²·D pounds an inch; plywood holds 0.7 of it, foam nothing.

    2850 lbf/in² is the rule in its own units, here turned into N/mm² through the pound and the inch;
    G 0.42 from memory.
    """
    softwood = 2850 * 4.4482216 / 25.4**2 * 0.42**2

    for name, board in NAMED["board"].items():
        if name.startswith("softwood"):
            expected, depth_mm = softwood, board.thickness_mm
        elif name.startswith("xps"):
            on = name.partition("-on-plywood-")[2]
            expected, depth_mm = (0.7 * softwood, float(on)) if on else (0.0, 0.0)
        else:
            expected, depth_mm = 0.7 * softwood, board.thickness_mm
        assert board.withdrawal_n_per_mm2 == pytest.approx(expected, rel=0.005), name
        assert board.screw_depth_mm == depth_mm, name


# ASTM A228 minimum tensile, MPa at inches; EN 10270-1 SM at mm
A228_MPA = {0.020: 2413, 0.024: 2351, 0.026: 2324, 0.032: 2255, 0.040: 2172, 0.048: 2110}
SM_MPA = {0.5: 2200, 0.6: 2140, 0.8: 2050, 1.0: 1980, 1.2: 1920}


def test_music_wire_is_the_standards_minimum_and_interpolated_between() -> None:
    """Inch sizes carry A228's minimum; metric sizes lie on the straight line between two inch sizes."""
    inch = {round(item.diameter_mm / 25.4, 3): item.tensile_mpa for item in NAMED["wire"]["music-wire-inch"].stock}

    assert inch == A228_MPA
    for item in NAMED["wire"]["music-wire"].stock:
        if item.diameter_mm < 0.508:
            continue  # half a hundredth below the table's first size
        (low, at_low), (high, at_high) = next(
            pair
            for pair in itertools.pairwise((size * 25.4, tensile) for size, tensile in A228_MPA.items())
            if pair[0][0] <= item.diameter_mm <= pair[1][0]
        )
        line = at_low + (at_high - at_low) * (item.diameter_mm - low) / (high - low)
        assert item.tensile_mpa == pytest.approx(line, abs=3)


def test_music_wire_at_32_thou_is_327_ksi() -> None:
    """A228 gives 327 ksi at 0.032 in; 1 ksi is 6.894757 MPa. The textbook fit 2211/d^0.145 is above it."""
    at = next(item for item in NAMED["wire"]["music-wire-inch"].stock if abs(item.diameter_mm - 0.8128) < 1e-9)

    assert at.tensile_mpa == pytest.approx(327 * 6.894757, abs=0.5)
    assert at.tensile_mpa < 2211 / 0.8128**0.145


def test_spring_wire_is_the_minimum_of_en_10270() -> None:
    """The default wire carries EN 10270-1 SM's minimum, and the sizes between lie within 1 % of the line."""
    stock = NAMED["wire"]["spring-wire-sm"].stock
    strengths = {item.diameter_mm: item.tensile_mpa for item in stock}

    assert {size: strengths[size] for size in SM_MPA} == SM_MPA
    for size, low, high in ((0.7, 0.6, 0.8), (0.9, 0.8, 1.0)):
        line = (SM_MPA[low] + SM_MPA[high]) / 2
        assert strengths[size] == pytest.approx(line, rel=0.01)
        assert strengths[size] <= line
    assert {item.modulus_mpa for item in stock} == {206_000.0}


@pytest.mark.parametrize(
    ("name", "shank_mm", "head_mm", "clearance_mm"),
    [
        # DIN 965 (now ISO 7046) largest heads; ISO 273 medium; both also in an open data package, read but not
        # installed, as it brings a second CAD kernel: bd_warehouse 0.4.0, its countersunk heads and clearance holes
        ("m2", 2.0, 3.8, 2.4),
        ("m2.5", 2.5, 4.7, 2.9),
        ("m3", 3.0, 5.6, 3.4),
        # heads of metric wood screws from memory; clearance inferred, of a bolt as thick
        ("wood-2", 2.0, 3.8, 2.4),
        ("wood-2.5", 2.5, 4.7, 2.9),
        ("wood-3", 3.0, 5.6, 3.4),
        ("wood-3.5", 3.5, 6.5, 3.9),
        # US wood screws; clearance shank + 10 %
        ("no-2", 2.18, 4.37, 2.18 * 1.1),
        ("no-3", 2.51, 5.05, 2.51 * 1.1),
        ("no-4", 2.84, 5.72, 2.84 * 1.1),
        ("no-6", 3.51, 7.09, 3.51 * 1.1),
    ],
)
def test_fixing_sizes(name: str, shank_mm: float, head_mm: float, clearance_mm: float) -> None:
    """Shank, head and clearance hole are those of the tables."""
    fixing = NAMED["fixing"][name]

    assert (fixing.shank_mm, fixing.head_mm) == (shank_mm, head_mm)
    assert fixing.clearance_mm == pytest.approx(clearance_mm, abs=0.006)


# older timber code: 70 % of the root in softwood, 90 % in hardwood
@pytest.mark.parametrize(
    ("name", "softwood_mm", "hardwood_mm"),
    [("no-2", 1.10, 1.42), ("no-3", 1.30, 1.67), ("no-4", 1.49, 1.92), ("no-6", 1.88, 2.42)],
)
def test_fixing_pilot_is_between_soft_and_hard_wood(name: str, softwood_mm: float, hardwood_mm: float) -> None:
    """One drill for any board: between the pilots of softwood and of hardwood."""
    assert softwood_mm < NAMED["fixing"][name].pilot_mm < hardwood_mm


@pytest.mark.parametrize(
    ("name", "density", "modulus_gpa", "softens", "strength"),
    [
        # print-service guides; strength along and across the layers
        ("pla", (1.22, 1.26), (2.5, 4), (53, 60), (26, 35)),
        ("petg", (1.25, 1.29), (2, 3), (70, 75), (44, 25)),
        # density of both, modulus and strength of ASA, both across the layers, from memory; the rest guides
        ("abs", (1.04, 1.04), (2.3, 2.3), (90, 98), (41, 20)),
        ("asa", (1.07, 1.07), (2, 2), (90, 98), (40, 20)),
    ],
)
def test_filament_takes_the_low_end(
    name: str,
    density: tuple[float, float],
    modulus_gpa: tuple[float, float],
    softens: tuple[float, float],
    strength: tuple[float, float],
) -> None:
    """Figures are within the guides, stiffness, heat and strength at their low end."""
    filament: Any = NAMED["filament"][name]

    assert density[0] <= filament.density_g_per_cm3 <= density[1]
    assert filament.modulus_mpa == modulus_gpa[0] * 1000
    assert filament.softens_c == softens[0]
    assert (filament.tensile_mpa, filament.tensile_z_mpa) == strength


def test_servo_without_a_source_says_so() -> None:
    """The class no figures were found for is marked from memory, and asks to be measured."""
    assert "measure yours" in NAMED["servo"]["mini-20g"].title
    sources = NAMED["servo"]["mini-20g"].source.values()
    assert {source.mark for source in sources} == {"M", "P", "I"}
    (memory,) = (source for source in sources if source.mark == "M")
    assert set(CLASSES["mini-20g"]) <= set(memory.figures)
