"""Ways out of a refusal as changes of the form: what the line on a terminal says to type, at one press."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from mounts.errors import Fault, NoDesign
from mounts.page.fields import OWN
from mounts.units import length_mm

_TYPED = re.compile(r"--(?P<option>[a-z][a-z-]*)[ =](?P<value>'[^']*'|\"[^\"]*\"|\S+(?:\s(?:mm|in|N)\b)?)")
_LEFT = re.compile(r"leave (?P<what>--.+?) (?:free|out)\b")
_BARE = re.compile(r"--(?P<option>[a-z][a-z-]*)(?: (?P<name>[a-z_]+))?")
_RANGE = re.compile(r"must be (?P<low>-?[\d.]+) to (?P<high>-?[\d.]+)(?: (?P<unit>mm|°|N))?")
_QUOTED = re.compile(r"(?:nearest is|write) '(?P<value>[^']+)'")
_NEAREST_LENGTH = re.compile(r"nearest is (?P<value>[\d.]+ mm)")
_ONE_OF = re.compile(r"must be (?P<words>'?[\w-]+'?(?:, '?[\w-]+'?)* or '?[\w-]+'?)(?=$|[;,])")
_LEAVE_OUT = ("leave it out", "remove it", "must not be given", "unknown field")


@dataclass(frozen=True)
class Way:
    """A change that was tried and works, or that what is wrong asks for.

    Attributes:
        told: in words, for the button.
        values: fields and what goes into them; empty: nothing is given there any more.
    """

    told: str
    values: Mapping[str, str]


@dataclass(frozen=True)
class Told:
    """A line that says what is wrong, as on the command line.

    Attributes:
        line: the line.
        field: that it is about; empty: the whole.
        ways: out of it.
    """

    line: str
    field: str
    ways: tuple[Way, ...]


def of_fault(fault: Fault) -> Told:
    """A fault of what was asked."""
    key = ""
    if fault.file is None and fault.place:
        own = fault.place[0] == "set" and len(fault.place) > 1
        key = f"{OWN}{fault.place[1]}" if own else str(fault.place[0])
    return Told(str(fault), key, tuple(_ways(fault, key)) if key else ())


def of_refusal(fault: NoDesign) -> Told:
    """A refusal, with the changes that were tried and work."""
    found = tuple(way for way in map(typed, fault.ways) if way.values)
    return Told(f"no design: {fault}", "", found)


def typed(text: str) -> Way:
    """A change as it is typed: ``--throw 2.5 instead of 3 mm``, ``leave --wire free``, ``--set lie=down``.

    >>> typed("--set lie=down with --max-depth 80").values
    {'set.lie': 'down', 'max_depth': '80'}
    >>> typed("leave --wire free and leave --set web_mm out").values
    {'wire': '', 'set.web_mm': ''}
    """
    found: dict[str, str] = {}
    rest = text
    for left in _LEFT.finditer(text):
        for bare in _BARE.finditer(left["what"]):
            own = bare["option"] == "set" and bare["name"]
            found[f"{OWN}{bare['name']}" if own else bare["option"].replace("-", "_")] = ""
        rest = rest.replace(left[0], "")
    for word in _TYPED.finditer(rest):
        value = word["value"].strip("'\"").rstrip(",")
        if word["option"] == "set":
            name, _, value = value.partition("=")
            found[OWN + name.replace("-", "_")] = value
        else:
            found[word["option"].replace("-", "_")] = value
    return Way(text, found)


def _ways(fault: Fault, key: str) -> Iterator[Way]:
    said = fault.said
    if any(word in said for word in _LEAVE_OUT):
        yield Way("leave it out", {key: ""})
    if key.startswith(OWN) and (near := re.search(r"unknown field; nearest is '(\w+)'", said)):
        yield Way(f"write {near[1]}", {key: "", OWN + near[1]: (fault.written or "").strip("'\"")})
        return
    for found in (*_QUOTED.finditer(said), *_NEAREST_LENGTH.finditer(said)):
        yield Way(f"take {found['value']}", {key: found["value"]})
    if bounds := _RANGE.search(said):
        unit = f" {bounds['unit']}" if bounds["unit"] == "mm" else ""
        ends = [bounds["low"], bounds["high"]]
        for end in sorted(ends, key=lambda end: _away(fault.written, end))[: 1 if _number(fault.written) else 2]:
            yield Way(f"take {end}{unit}", {key: f"{end}{unit}"})
    elif words := _ONE_OF.search(said):
        for word in re.split(r", | or ", words["words"]):
            yield Way(f"take {word.strip(chr(39))}", {key: word.strip("'")})


def _number(written: str | None) -> float | None:
    """What was written, in mm if it is a length."""
    try:
        return length_mm(re.sub(r"^'([^']*)'.*$", r"\1", written or ""))
    except ValueError:
        return None


def _away(written: str | None, end: str) -> float:
    value = _number(written)
    return 0.0 if value is None else abs(value - float(end))
