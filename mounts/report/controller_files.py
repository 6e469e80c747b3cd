"""The controller's sheet as CSV, as JSON and as a C header of constants."""

from __future__ import annotations

import csv
import io
import json
import re
import string
import unicodedata
from collections.abc import Iterator, Sequence

from mounts.report.controller import Channel, Controller
from mounts.units import number

_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # begins with one: a spreadsheet reckons it (OWASP, CSV injection)
_HARMLESS = frozenset(string.ascii_letters + string.digits + " -_.,+#")


def files(sheet: Controller) -> dict[str, bytes]:
    """All three by name."""
    return {
        "controller.csv": render_csv(sheet),
        "controller.json": render_json(sheet),
        "controller.h": render_header(sheet),
    }


def render_json(sheet: Controller) -> bytes:
    """The sheet as it is."""
    return (json.dumps(sheet.model_dump(mode="json"), indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()


def render_csv(sheet: Controller) -> bytes:
    """A row a channel: RFC 4180, UTF-8, words in quotes, numbers without; a word is never read as a formula."""
    most = max((len(row.positions) for row in sheet.channels), default=2)
    out = io.StringIO()
    table = csv.writer(out, quoting=csv.QUOTE_NONNUMERIC)
    positions = [f"{what}_{at}" for at in range(1, most + 1) for what in ("position", "pulse_us", "half_turn_deg")]
    table.writerow(
        ["channel", "id", *positions, "centre_us", "us_per_mm", "us_per_frame", "together", "stop_pulses", "board",
         "output", "copy", "copies", "servo", "end_0_us", "end_180_us"]
    )  # fmt: skip
    for row in sheet.channels:
        filled = [
            value
            for at in row.positions
            for value in (_plain(at.name), _figure(at.pulse_us), _figure(at.half_turn_deg))
        ]
        table.writerow(
            [row.channel, _plain(row.id), *filled, *[""] * (3 * most - len(filled)), _figure(row.centre_us),
             _figure(row.us_per_mm), _figure(row.us_per_frame), _plain(row.together or ""), int(row.stop_pulses),
             row.board, row.output, row.copy_, row.copies, _plain(row.servo), *map(_figure, row.ends_us)]
        )  # fmt: skip
    return out.getvalue().encode()


def render_header(sheet: Controller) -> bytes:
    """C99 without a type or a function: a handful of macros a channel, and lists of all channels."""
    guard = f"LAYOUT_{_name(sheet.name)}_CONTROLLER_H"
    lines = [
        "/* Servo channels of a layout: pulses in microseconds to begin with, trimmed on the layout. */",
        f"#ifndef {guard}",
        f"#define {guard}",
        "",
        f"#define LAYOUT_NAME {_quoted(sheet.name)}",
        f"#define SERVO_FRAME_US {number(1000 * sheet.frame_ms, 0)}",
        f"#define SERVO_COUNT {len(sheet.channels)}",
        "",
    ]
    used: set[str] = set()
    for row, stem in zip(sheet.channels, _stems(sheet.channels), strict=True):
        for name, value in _macros(row):
            macro = f"{stem}_{name}"
            while macro in used:  # of another mount, or of a position that is called like a figure
                macro += "_"
            used.add(macro)
            lines.append(f"#define {macro} {value}")
        lines.append("")
    lines.append("/* X(channel, id, first position, last position, centre, step; all in us) for each servo */")
    lines.append("#define SERVO_LIST(X) \\")
    for row in sheet.channels:
        figures = (row.positions[0].pulse_us, row.positions[-1].pulse_us, row.centre_us, max(row.us_per_frame, 1.0))
        lines.append(f"    X({row.channel}, {_quoted(row.id)}, {', '.join(str(round(us)) for us in figures)}) \\")
    return ("\n".join([*lines, "", "#endif"]) + "\n").encode("ascii")


def _macros(row: Channel) -> Iterator[tuple[str, object]]:
    """Name and value of each figure of a channel."""
    yield "CHANNEL", row.channel
    yield "ID", _quoted(row.id)
    for at in row.positions:
        yield f"{_name(at.name)}_US", round(at.pulse_us)
        yield f"{_name(at.name)}_DEG", round(at.half_turn_deg)
    yield "CENTRE_US", round(row.centre_us)
    yield "STEP_US", max(round(row.us_per_frame), 1)
    yield "END_0_US", round(row.ends_us[0])
    yield "END_180_US", round(row.ends_us[1])
    yield "STOP_PULSES", int(row.stop_pulses)


def _plain(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text


def _figure(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _stems(rows: Sequence[Channel]) -> Iterator[str]:
    """What the macros of each channel begin with."""
    plain = [f"SERVO_{_name(row.id)}" + (f"_{row.copy_}" if row.copies > 1 else "") for row in rows]
    for row, stem in zip(rows, plain, strict=True):
        yield f"{stem}_C{row.channel}" if plain.count(stem) > 1 else stem


def _name(text: str) -> str:
    """Capitals, digits and low lines of a text: ``EAST_1``."""
    flat = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().upper()
    return re.sub(r"[^A-Z0-9]+", "_", flat).strip("_") or "X"


def _quoted(text: str) -> str:
    """A string of C: what is not a letter, a figure, a blank or a harmless sign is written in octal."""
    signs = (chr(byte) if chr(byte) in _HARMLESS else f"\\{byte:03o}" for byte in text.encode())
    return f'"{"".join(signs)}"'
