"""What a made mount says on a terminal: at most twenty lines of eighty columns, with all that is needed next."""

import pytest

from mounts.checks.model import Check
from mounts.cli import main
from mounts.drive.model import PointsDrive
from mounts.report.brief import brief
from mounts.report.model import Report
from mounts.report.words import duration, short
from mounts.styles import names


def _made(tmp_path, capfd, *words: str) -> tuple[list[str], Report]:
    assert main(["make", "--id", "east-1", "--out", str(tmp_path), *words]) == 0
    report = Report.model_validate_json((tmp_path / "east-1" / "east-1" / "report.json").read_bytes())
    return capfd.readouterr().out.splitlines(), report


@pytest.mark.solid
@pytest.mark.parametrize("style", names())
def test_every_style_says_it_in_twenty_lines(style, tmp_path, capfd):
    """Files with grams and time, what to buy, pulses, force with its spread and the next file; none over 80 columns."""
    lines, report = _made(tmp_path, capfd, "--style", style, "--board", "12", "--scale", "HO")

    text = " ".join(" ".join(lines).split())
    assert len(lines) <= 20
    assert max(len(line) for line in lines if not line.startswith("files ")) <= 80
    assert all(part.file in text for part in report.parts)
    assert report.print_settings in text
    assert all(item.item in text and item.size in text for item in report.hardware if not item.tool)
    assert any(item.tool for item in report.hardware)
    assert "-steps.txt, which lists the tools" in text
    pulse = report.drive.pulse_us
    assert all(f" {us:.0f}" in text for us in (pulse.normal, pulse.centre, pulse.reverse))
    pressed = report.drive.force_after_slack_n if isinstance(report.drive, PointsDrive) else report.drive.stop_force_n
    assert f"{pressed:.2f}".rstrip("0") in text
    assert "east-1-steps.txt" in text
    assert "east-1-template.svg" in text
    assert all(short(caution) in text for caution in report.cautions)

    assert (
        main(
            [
                "make",
                "--id",
                "east-1",
                "--out",
                str(tmp_path),
                "--style",
                style,
                "--board",
                "12",
                "--scale",
                "HO",
                "--explain",
            ]
        )
        == 0
    )
    explained = capfd.readouterr().out
    assert report.drive.explanation.split(".")[0].split()[-1] in explained
    assert "tolerances" in explained
    assert max(map(len, explained.splitlines()[:20])) <= 80 or str(tmp_path) in explained
    thin = "as thin as can be " * 5
    many = [Check.of(f"wall-{n}", 1.0, "at least", 2.0, "mm", "", thin, otherwise="warn") for n in range(9)]
    crowded = brief(report.model_copy(update={"checks": tuple(many), "verdict": "warn"}), tmp_path)
    assert len(crowded) <= 20
    assert "warnings: --explain" in " ".join(crowded)


@pytest.mark.parametrize(
    ("minutes", "said"), [(0.2, "1 min"), (59.4, "59 min"), (60.0, "1 h"), (88.0, "1 h 30 min"), (1500.0, "25 h")]
)
def test_times_are_said_as_people_do(minutes, said):
    """Minutes under an hour, five minutes above, hours from ten."""
    assert duration(minutes) == said


def test_a_caution_is_cut_at_its_first_stop():
    """Short enough for one paragraph; the whole stands in the steps."""
    assert short("Wear eye protection when cutting spring wire: the ends fly.") == (
        "wear eye protection when cutting spring wire"
    )
