"""What is for reading fits a terminal of eighty columns."""

import pytest

from mounts.cli import main
from mounts.styles import names


@pytest.mark.parametrize("words", [[], *([name] for name in names())], ids=["all", *names()])
def test_lists_of_styles_are_folded(words, capfd):
    """No line of `mounts styles` is wider than 80 columns, and none loses a word."""
    assert main(["styles", *words]) == 0

    lines = capfd.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert all(name in "\n".join(lines) for name in (words and ["--set "]) or names())
