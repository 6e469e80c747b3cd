"""What the page tells of a mount, as HTML: every text is escaped here, and lengths are in the unit asked for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from html import escape

from mounts.checks.model import Check
from mounts.page.layouts import Row
from mounts.page.lengths import as_shown, in_unit
from mounts.page.places import closeness
from mounts.pipeline import Designed
from mounts.report.brief import check_line
from mounts.report.kinds import outcome
from mounts.report.model import Report, together_minutes
from mounts.report.summary import drive_rows
from mounts.report.words import duration, mass_words
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

_COLUMNS = ("id", "board", "style", "x", "y", "heading_deg", "family", "copies", "mirror")
_COLUMNS_OF_LENGTHS = ("board", "x", "y")
_WIDEST = 0.5  # of its limit left: a bar that long is full; by eye


def rows_html(rows: Iterable[tuple[str, str]], caption: str, unit: str) -> str:
    """Label and text, a row each."""
    body = "".join(
        f'<tr><th scope="row">{escape(label)}</th><td>{escape(in_unit(text, unit))}</td></tr>' for label, text in rows
    )
    return f'<table class="rows"><caption>{escape(caption)}</caption>{body}</table>'


def list_html(lines: Iterable[str], unit: str, *, numbered: bool = False) -> str:
    """Lines as a list."""
    tag = "ol" if numbered else "ul"
    return f"<{tag}>{''.join(f'<li>{escape(in_unit(line, unit))}</li>' for line in lines)}</{tag}>"


def figures_html(designed: Designed, unit: str) -> str:
    """Every figure of the drive."""
    design = designed.design
    rows = drive_rows(
        design.drive, designed.spread, wire_cut_mm=wire_cut_mm(design), throw_mm=design.spec.throw_mm
    )  # fmt: skip
    return rows_html(rows, "The drive in figures", unit) + f"<p>{escape(in_unit(design.drive.explanation, unit))}</p>"


def by_closeness(checks: Sequence[Check]) -> list[Check]:
    """Failed first, then those that warn, then the nearest to their limit."""
    return sorted(checks, key=closeness)


def checks_html(checks: Sequence[Check], unit: str) -> str:
    """A row a check, in the order given, with a button that shows its place."""
    rows = []
    for count, check in enumerate(checks):
        share = min(max(closeness(check), 0.0), _WIDEST) / _WIDEST
        room = "–" if closeness(check) > 1 else f"{max(closeness(check), 0.0) * 100:.0f} %"
        where = f" of {check.part}" if check.part else ""
        sense = {"at least": "≥", "at most": "≤", "exactly": "="}.get(check.sense or "", "")
        measured = in_unit(f"{number(check.value)} {check.unit}".strip(), unit)
        limit = in_unit(f"{number(check.limit)} {check.unit}".strip(), unit)
        rows.append(
            f'<tr class="{check.verdict}"><td><span class="verdict">{check.verdict}</span></td>'
            f'<td><button type="button" data-check="{count}" aria-label="show where {escape(check.name + where)} is">'
            f"{escape(check.name)}</button>{escape(where)}</td>"
            f"<td>{escape(measured)}</td><td>{sense} {escape(limit)}</td>"
            f'<td class="left"><span class="room"><span style="width:{share * 100:.0f}%"></span></span>{room}</td>'
            f"<td>{escape(in_unit(check.message, unit))}</td></tr>"
        )
    head = "".join(
        f'<th scope="col">{name}</th>' for name in ("", "check", "measured", "limit", "left", "what it says")
    )
    caption = "Checks, the nearest to their limit first; press one to see its place"
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="table of checks"><table class="checks">'
        f"<caption>{caption}</caption><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def verdict_line(checks: Sequence[Check], *, whole: bool) -> str:
    """What the checks come to, in a line."""
    counts = {verdict: sum(check.verdict == verdict for check in checks) for verdict in ("pass", "warn", "fail")}
    of = "checks" if whole else "checks of the mechanics; those of the printed part follow"
    if counts["fail"]:
        return f"{counts['fail']} of {len(checks)} {of} failed"
    if counts["warn"]:
        return f"{len(checks)} {of}, {counts['warn']} of them warn"
    return f"passed {len(checks)} {of}"


def use_html(report: Report, unit: str) -> str:
    """What to print, to buy and to set, and the steps."""
    if report.verdict == "fail":
        wrong = [check_line(check) for check in report.checks if check.verdict == "fail"]
        return f"<h3>Nothing to print</h3>{list_html(wrong, unit)}"
    printed = [
        f"{part.name or 'the mount'}: {mass_words(part.mass_g)}"
        + (f", with a {number(part.brim_mm)} mm brim" if part.brim_mm else "")
        for part in report.parts
    ]
    minutes = together_minutes(report.parts)
    printed.append(f"{report.mount.filament}, {report.print_settings}" + (f"; about {duration(minutes)}" if minutes
                                                                          else ""))  # fmt: skip
    bought = [f"{entry.quantity} × {entry.item}, {entry.size}" for entry in report.hardware if not entry.tool]
    tools = [f"{entry.item}: {entry.size}" for entry in report.hardware if entry.tool]
    parts = [
        ("Print", list_html(printed, unit)), ("Buy", list_html(bought, unit)),
        ("Set", rows_html(outcome(report.drive).told(report), "Pulses and what they do", unit)),
        ("Tools", list_html(tools, unit)), ("Steps", list_html(report.steps, unit, numbered=True)),
        ("Cautions", list_html(report.cautions, unit)),
    ]  # fmt: skip
    return "".join(f"<h3>{title}</h3>{body}" for title, body in parts)


def costs_html(report: Report, unit: str) -> str:
    """What the figures cost that were given and not chosen, if they cost anything."""
    costs = [cost.sentence for cost in report.costs_of_pins]
    return f"<h3>What your own figures cost</h3>{list_html(costs, unit)}" if costs else ""


def mounts_html(
    rows: Sequence[Row], usual: Mapping[str, str], bad: Collection[str], picked: int | None, unit: str
) -> str:
    """The mounts of a layout file, a row each, with a button that takes it in hand.

    Args:
        rows: as written there.
        usual: what holds where a mount says nothing.
        bad: names of those whose place fails a check.
        picked: number of the one that is in hand.
        unit: of lengths.
    """
    head = "".join(f'<th scope="col">{name.replace("_", " ")}</th>' for name in _COLUMNS)
    body = []
    for row in rows:
        whole, name, pressed = {**usual, **row.values}, escape(row.name), str(row.number == picked).lower()
        cells = [
            f'<td><button type="button" data-mount="{row.number}" aria-label="pick {name}" '
            f'aria-pressed="{pressed}">{name}</button></td>'
        ]
        for column in _COLUMNS[1:]:
            value = whole.get(column, "")
            cells.append(f"<td>{escape(as_shown(value, unit) if column in _COLUMNS_OF_LENGTHS else value)}</td>")
        body.append(f'<tr class="{"fail" if row.name in bad else ""}">{"".join(cells)}</tr>')
    return (
        '<div class="wide" tabindex="0" role="region" aria-label="table of mounts"><table class="checks">'
        f"<caption>{len(rows)} mounts as the file has them; press one to change it</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
    )
