"""What is for reading fits a terminal of eighty columns."""

import sys

import pytest

from mounts.cli import main
from mounts.styles import names


@pytest.mark.parametrize("words", [[], *([name] for name in names())], ids=["all", *names()])
def test_lists_of_styles_are_folded_on_a_terminal(words, capsys, monkeypatch):
    """On a terminal no line of `mounts styles` is wider than 80 columns; a script gets a line each, the same words."""
    main(["styles", *words])
    plain = capsys.readouterr().out
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)

    assert main(["styles", *words]) == 0

    folded = capsys.readouterr().out
    assert max(map(len, folded.splitlines())) <= 80
    assert max(map(len, plain.splitlines())) > 80
    assert folded.split() == plain.split()
