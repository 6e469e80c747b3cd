"""The test piece as solids, drawn with the holes, slots and letters that mounts are drawn with. Print frame, mm."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
import numpy as np

from mounts.checks.duty import NO_DUTY, Duty
from mounts.coupon.plan import STEPS, TONGUE_MM, TONGUE_THICK_MM, Coupon, Specimen, rises_deg
from mounts.frames import Vector, matrix
from mounts.inputs import fits
from mounts.inputs.printer import Printer
from mounts.solid import lettering
from mounts.solid.faces import Hole, pierced
from mounts.solid.guard import kernel_step, one_solid
from mounts.solid.holes import circle, pivot_slot, teardrop
from mounts.solid.part import Part
from mounts.solid.plates import chamfered, prism
from mounts.styles._mounting import bed_chamfer_mm

PLATE_MM, BACK_MM = 2.0, 2.4  # how far holes close up does not depend on their depth; minutes do
FLOOR_MM = 1.2  # three lines of a usual nozzle
RUN_MM = 3.0  # of one step of a channel: its number stands in it
CHANNEL_MM = 2.0  # from its floor
ROOF_MM = 1.2  # of the tunnel
SUNK_MM = 0.2  # one layer, so that it hangs nowhere, and a thin floor stays sound
OVER_MM = 0.2  # that what is cut for a letter stands out of its face, for a clean cut
LAND_MM = 0.8  # of the pivot
FLARE_DEG = 15.0  # of the pivot's slot, as in a bracket
FIN_HIGH_MM, FIN_LONG_MM = 0.8, 6.0  # no higher than a letter, or it would have to carry something
LEAN_HIGH_MM, LEAN_DEEP_MM = 3.0, 4.0  # enough layers to see them sag; by eye
SOUND_MM = 1.0  # between letters, one over the other
POST_MM = 2.4  # of the protractor
BRIDGE_HIGH_MM, BRIDGE_DEEP_MM = 1.6, 3.0  # clear of what hangs, wide enough for several strands; by eye
HOLES, SLIDES, LADDERS, PROTRACTOR = "holes", "slides", "ladders", "protractor"
_HERE = matrix(np.eye(3), np.zeros(3))  # printed as it is drawn


def pieces(coupon: Coupon) -> tuple[tuple[Part, Duty], ...]:
    """The pieces to print, each with what its screws ask of it."""
    with kernel_step("draw the test piece", "measure servo and screw again"):
        return (_holes(coupon), (_slides(coupon), NO_DUTY), (_ladders(coupon), NO_DUTY), (protractor(coupon), NO_DUTY))


def _pen_mm(printer: Printer) -> float:
    return max(0.6, 1.5 * printer.nozzle_mm)


def _digit_mm(printer: Printer) -> float:
    """Height of numbers and letters: the bars of an E stand a sound skin apart."""
    return max(3.2, 5.5 * _pen_mm(printer))


def _wall_mm(printer: Printer) -> float:
    return max(1.2, 3 * printer.nozzle_mm)


def _box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> cq.Solid:
    return cq.Solid.makeBox(x[1] - x[0], y[1] - y[0], z[1] - z[0], cq.Vector(x[0], y[0], z[0]))


def _written(text: str, at: Vector, printer: Printer, out: Vector = (0, 0, 1)) -> list[cq.Solid]:
    """A letter or a number, to be cut into a face: its middle, and the unit vector out of the face."""
    high, sunk = _digit_mm(printer), min(SUNK_MM, printer.layer_mm)
    letters = lettering.outline(text, capital_mm=high, pen_mm=_pen_mm(printer), room_mm=(high - 0.2, high))
    normal = cq.Vector(*out)
    floor = cq.Plane(cq.Vector(*at) - normal * sunk, (1, 0, 0), normal)
    return lettering.standing(floor, letters, sunk + OVER_MM)


def _part(name: str, body: Any, through_holes: int) -> Part:
    return Part(name, one_solid(body, f"draw the {name} of the test piece"), _HERE, through_holes)


def _prism_y(outline_xz: list[tuple[float, float]], y: tuple[float, float], holes: Any = ()) -> cq.Solid:
    """An outline in x and z carried along y."""
    plane = cq.Plane(origin=(0, y[1], 0), xDir=(1, 0, 0), normal=(0, -1, 0))
    return prism(plane, outline_xz, y[1] - y[0], holes=holes)


def _holes(coupon: Coupon) -> tuple[Part, Duty]:
    """Columns are the steps, rows the holes: upright ones in a plate, lying ones in a wall along its back."""
    digit = _digit_mm(coupon.printer)
    margin = digit + 1.0
    printer, servo = coupon.printer, coupon.servo
    rows = [specimen for specimen in coupon.specimens if specimen.shape in ("bore", "slot")]
    standing = [specimen for specimen in rows if not specimen.key.endswith("-lying")]
    lying = [specimen for specimen in rows if specimen.key.endswith("-lying")]
    least_web = max(3 * printer.nozzle_mm + 0.1, 0.7 * servo.screw_mm)
    pitch = max(max(row.drawn) for row in rows if row.shape == "bore") + least_web
    pitch = max(pitch, 4.0)
    columns = [margin + pitch * (step + 0.5) for step in range(STEPS)]
    wide = margin + pitch * STEPS + least_web / 2 + 0.1

    y = digit + 1.6
    middles = {}
    for row in standing:
        half = row.drawn[-1] / 2 if row.shape == "bore" else 1.4 * LAND_MM + coupon.wire_mm / 2
        middles[row.key] = y + half
        y += 2 * half + least_web
    y0, y1 = y, y + BACK_MM
    bores: list[Any] = []
    slots: list[Hole] = []
    face = cq.Plane(origin=(0, 0, PLATE_MM), xDir=(1, 0, 0), normal=(0, 0, 1))
    for row in standing:
        for x, size in zip(columns, row.drawn, strict=True):
            if row.shape == "bore":
                bores.append(circle((x, middles[row.key]), size))
            else:
                length = max(2.0, printer.clean_hole_mm)
                slots.append(pivot_slot(
                    face, (x, middles[row.key]), deep_mm=PLATE_MM, length_x_mm=length, width_y_mm=size, land_mm=LAND_MM,
                    flare_deg=FLARE_DEG,
                ))  # fmt: skip
    bed = cq.Plane(origin=(0, 0, 0), xDir=(1, 0, 0), normal=(0, 0, 1))
    plate: Any = prism(bed, [(0, 0), (wide, 0), (wide, y1), (0, y1)], PLATE_MM, holes=bores)
    z, low, heights = PLATE_MM + 0.2, 0.0, {}
    for row in lying:
        half = row.drawn[-1] / 2
        z = max(z, PLATE_MM + 0.1 + digit / 2 - half, low + digit / 2 - half)  # no letter reaches down into the plate
        heights[row.key] = z + half
        z = heights[row.key] + max(math.sqrt(2) * half + 0.4 + least_web, digit / 2 + 0.3)
        low = heights[row.key] + digit / 2 + SOUND_MM
    top = z
    teardrops = [
        teardrop((x, heights[row.key]), size, point=(0, 1))
        for row in lying for x, size in zip(columns, row.drawn, strict=True)
    ]  # fmt: skip
    body = plate
    if lying:
        wall = _prism_y([(0, 1.0), (wide, 1.0), (wide, top), (0, top)], (y0, y1), [])
        body = body.fuse(wall)
        body = body.cut(*(_prism_y(hole, (y0 - 0.1, y1 + 0.1)) for hole in teardrops))
    body = chamfered(body.clean(), "<Z", bed_chamfer_mm(printer))
    marks = [_written(str(step + 1), (x, 0.8 + digit / 2, PLATE_MM), printer) for step, x in enumerate(columns)]
    marks += [_written(row.letter, (margin / 2 + 0.1, middles[row.key], PLATE_MM), printer) for row in standing]
    # the letters of the wall stand on its face, before its rows
    for row in lying:
        marks.append(_written(row.letter, (margin / 2 + 0.1, y0, heights[row.key]), printer, out=(0, -1, 0)))
    body = pierced(body.cut(*(solid for mark in marks for solid in mark)), slots, "cut the slots")
    pilots = [
        ((x, middles[row.key], 0.0), (0.0, 0.0, 1.0)) for row in standing if row.key == fits.PILOT_UPRIGHT.key
        for x in columns
    ]  # fmt: skip
    pilots += [
        ((x, y0, heights[row.key]), (0.0, 1.0, 0.0)) for row in lying if row.key == fits.PILOT_LYING.key
        for x in columns
    ]  # fmt: skip
    duty = Duty(wall_mm=0.0, axes=np.array(pilots).reshape(-1, 2, 3), screw_mm=servo.screw_mm, drilled=True)
    return _part(HOLES, body, STEPS * len(rows)), duty


def _slides(coupon: Coupon) -> Part:
    """Channels side by side that get narrower step by step, widest at the mouth."""
    digit, wall = _digit_mm(coupon.printer), _wall_mm(coupon.printer)
    run = max(RUN_MM, digit)
    rows = [specimen for specimen in coupon.specimens if specimen.shape in ("channel", "tunnel")]
    long = run * STEPS
    y, walls, cuts, marks = 0.0, [], [], []
    for row in rows:
        tunnel = row.shape == "tunnel"
        widest = row.drawn[-1] if not tunnel else TONGUE_MM + 0.8
        high = FLOOR_MM + (CHANNEL_MM if not tunnel else row.drawn[-1] + ROOF_MM)
        low, high_y = y, y + widest + 2 * wall
        middle = (low + high_y) / 2
        walls.append(_box((0, long), (low, high_y), (0, high)))
        for step, size in enumerate(reversed(row.drawn)):  # the widest at x = 0, the mouth
            x0, x1 = step * run - (0.1 if step == 0 else 0.0), (step + 1) * run + (0.1 if step == STEPS - 1 else 0)
            half = (size if not tunnel else widest) / 2
            ceiling = high + 0.1 if not tunnel else FLOOR_MM + size
            cuts.append(_box((x0, x1), (middle - half, middle + half), (FLOOR_MM, ceiling)))
            at_z = FLOOR_MM if not tunnel else high
            marks.append(_written(str(STEPS - step), ((step + 0.5) * run, middle, at_z), coupon.printer))
        marks.append(_written(row.letter, (long + digit / 2 + 0.3, middle, FLOOR_MM), coupon.printer))
        y = high_y - wall
    y += wall
    floor: Any = _box((0, long + digit + 1.0), (0, y), (0, FLOOR_MM))
    body = floor.fuse(*walls).clean()
    body = body.cut(*cuts)
    body = chamfered(body, "<Z", bed_chamfer_mm(coupon.printer))
    body = body.cut(*(solid for mark in marks for solid in mark))
    return _part(SLIDES, body, sum(row.shape == "tunnel" for row in rows))


def _ladders(coupon: Coupon) -> Part:
    """The tongue, the comb, what leans and what is bridged."""
    digit, post = _digit_mm(coupon.printer), _wall_mm(coupon.printer)
    printer = coupon.printer
    fins, leans, spans = (_only(coupon, shape) for shape in ("fin", "lean", "bridge"))
    bodies: list[cq.Solid] = []
    marks = []
    # bridges along the back
    x = 0.0
    back = (0.0, BRIDGE_DEEP_MM)
    row_z = FLOOR_MM + BRIDGE_HIGH_MM
    cuts = []
    for step, span in enumerate(spans.drawn):
        cuts.append(_box((x + post, x + post + span), (back[0] - 0.1, back[1] + 0.1), (FLOOR_MM, row_z)))
        marks.append(_written(str(step + 1), (x + post + span / 2, back[1] + 0.7 + digit / 2, FLOOR_MM), printer))
        x += post + span
    long = x + post
    bodies.append(_box((0, long), back, (0, row_z + 1.0)))
    first = back[1] + digit + 1.4
    # leaning walls, each before its number
    x, lean_y = 0.0, (first, first + LEAN_DEEP_MM)
    for step, lean in enumerate(leans.drawn):
        out = LEAN_HIGH_MM * math.tan(math.radians(lean))
        z0, z1 = FLOOR_MM - 0.2, FLOOR_MM + LEAN_HIGH_MM
        outline = [(x, z0), (x + post, z0), (x + post, FLOOR_MM), (x + post + out, z1), (x, z1)]
        bodies.append(_prism_y(outline, lean_y))
        marks.append(_written(str(step + 1), (x + (post + out) / 2, lean_y[1] + 0.5 + digit / 2, FLOOR_MM), printer))
        x += post + out + 1.0
    long = max(long, x)
    second = lean_y[1] + digit + 1.2
    x = 2.0
    for step, thick in enumerate(fins.drawn):
        fin_y = (second, second + FIN_LONG_MM)
        bodies.append(_box((x, x + thick), fin_y, (FLOOR_MM - 0.2, FLOOR_MM + FIN_HIGH_MM)))
        marks.append(_written(str(step + 1), (x + thick / 2, fin_y[1] + 0.6 + digit / 2, FLOOR_MM), printer))
        x += digit + 1.2
    deep = second + FIN_LONG_MM + digit + 1.4
    marks.append(_written(fins.letter, (x + 1.0, second + 3.0, FLOOR_MM), printer))
    floor: Any = _box((0, long + digit + 1.0), (0, deep), (0, FLOOR_MM))
    marks.append(_written(spans.letter, (long + digit / 2 + 0.3, digit / 2 + 0.6, FLOOR_MM), printer))
    marks.append(_written(leans.letter, (long + digit / 2 + 0.3, first + 2.5, FLOOR_MM), printer))
    tongue_x = (long - TONGUE_MM - 1.0, long - 1.0)
    tongue = _box(tongue_x, (deep - 3.0, deep + 14.0), (0, TONGUE_THICK_MM))
    body = floor.fuse(*bodies, tongue).clean().cut(*cuts)
    body = chamfered(body, "<Z", bed_chamfer_mm(printer))
    body = body.cut(*(solid for mark in marks for solid in mark))
    return _part(LADDERS, body, STEPS)


def protractor(coupon: Coupon) -> Part:
    """A ring round the gear boss with two posts that the arm lies against.

    It lies on the top of the servo's case. The faces of the posts are flat, and half the tip's width off the line
    from the shaft at ± ``rises_deg``, so that the arm's round tip touches them there.
    """
    servo, printer = coupon.servo, coupon.printer
    ring_in = servo.boss_mm / 2 + fits.POCKET.air_mm(printer)
    ring_out = ring_in + 2.4
    half_deg = rises_deg(servo)
    reach = servo.arm_tip_mm
    arm_low = servo.arm_inner_height_mm - servo.case_top_height_mm
    high = arm_low + servo.horn_thickness_mm
    thick = min(2.0, max(1.2, servo.boss_height_mm))
    bed = cq.Plane(origin=(0, 0, 0), xDir=(1, 0, 0), normal=(0, 0, 1))
    disc: Any = prism(bed, circle((0, 0), 2 * ring_out), thick, holes=[circle((0, 0), 2 * ring_in)])
    parts: list[Any] = []
    for side in (-1, 1):
        angle = math.radians(half_deg) * side
        radial, square = (math.cos(angle), math.sin(angle)), (-side * math.sin(angle), side * math.cos(angle))

        def at(along: float, off: float, r: Any = radial, s: Any = square) -> tuple[float, float]:
            return along * r[0] + off * s[0], along * r[1] + off * s[1]

        face = servo.horn_tip_width_mm / 2
        spoke = [
            at(ring_in + 1.0, 0.0),
            at(reach + 1.0, 0.0),
            at(reach + 1.0, face + POST_MM),
            at(ring_in + 1.0, face + POST_MM),
        ]
        post = [
            at(reach - 2.5, face),
            at(reach + 1.0, face),
            at(reach + 1.0, face + POST_MM),
            at(reach - 2.5, face + POST_MM),
        ]
        for outline, top in ((spoke, thick), (post, high)):
            ordered = outline if side > 0 else outline[::-1]
            parts.append(prism(bed, ordered, top))
    body = disc.fuse(*parts).clean()
    body = body.cut(prism(bed, circle((0, 0), 2 * ring_in), thick + 0.1))
    body = chamfered(body, "<Z", bed_chamfer_mm(printer))
    return _part(PROTRACTOR, body, 1)


def _only(coupon: Coupon, shape: str) -> Specimen:
    (found,) = (specimen for specimen in coupon.specimens if specimen.shape == shape)
    return found
