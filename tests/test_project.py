"""Piece files: what they hold, that they come back as they were, and that a fault is found by its line."""

import pytest

from kilncalc.project import SCENARIO, Project, scenario


@pytest.mark.parametrize("name", SCENARIO)
def test_a_piece_of_the_scenario_comes_back_as_it_was(name, tmp_path):
    piece = scenario(name)
    text = piece.to_text()
    assert Project.from_text(text) == piece  # exact: the same numbers to the last bit
    assert Project.from_text(text).to_text() == text
    piece.write(tmp_path / "mine.toml")
    assert Project.read(tmp_path / "mine.toml") == piece
    with pytest.raises(FileExistsError):
        piece.write(tmp_path / "mine.toml")
