"""Piece files: what they hold, that they come back as they were, and that a fault is found by its line."""

import dataclasses
import datetime
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from piece_leaves import changed, leaves

from kilncalc import _comments, _resources
from kilncalc._parts import Part, PartError, lines_of
from kilncalc.project import SCENARIO, Project, ProjectError, not_beside, scenario
from kilncalc.project_parts import Fired, Frit, Laid, Prices, Rods, Stock
from kilncalc.schedule import Schedule, Segment

TILE = """# a tile
name = "tile"            # line 2
glass = "kiln glass A"
size = ["4 in", "100 mm"]

[[sheet]]
thickness = "3.2 mm"     # line 7
count = 2

[[laid]]                 # line 10
shape = "disc"
at = ["50 mm", "50 mm"]
diameter = "20 mm"
thickness = "3 mm"

[[firing]]               # line 16
process = "tack fuse"

[[firing]]               # line 19
process = "fire polish"
look_for = '''
the disc is
glossy'''

[[hole]]                 # line 25
at = [
  "10 mm",
  "10 mm",
]
diameter = "5 mm"

[kiln]
shelf = ["400 mm", "400 mm"]

[[fired]]                # line 35
date = 2026-03-05
segments = "150 C/h to 540 C, 20 min; 80 C/h to 20 C"
finding = "one disc moved"
"""


# ------------------------------------------------------------------------------------------ what is read


def test_a_file_says_what_a_maker_wrote():
    tile = Project.from_text(TILE)
    assert tile.size == (4 * 0.0254, 0.1)  # exact: 1 in = 25.4 mm
    assert [(sheet.thickness, sheet.count) for sheet in tile.sheets] == [(0.0032, 2)]
    assert tile.firings[1].look_for == "the disc is\nglossy"
    assert tile.fired[0].date == datetime.date(2026, 3, 5)
    assert tile.fired[0].segments == Schedule((Segment(150, 540, 20), Segment(80, 20)))
    assert tile.holes[0].at == (0.01, 0.01)
    assert tile.units == "metric" and tile.casting is None and tile.prices is None


def test_a_file_of_a_maker_who_works_in_inches():
    tile = Project.from_text(TILE.replace('glass = "kiln', 'units = "inches"\nglass = "kiln'))
    text = tile.to_text()
    assert 'size = ["4 in", "100 mm"]' in text  # neither number would be round in the other system
    assert (
        'segments = "270 F/h to 1004 F, 20 min; 144 F/h to 68 F"' in text
    )  # hand: 150 x 1.8; 540 x 1.8 + 32
    assert Project.from_text(text) == tile


# ------------------------------------------------------------------------------------------ there and back


@pytest.mark.parametrize("name", SCENARIO)
def test_a_piece_of_the_scenario_comes_back_as_it_was(name, tmp_path):
    piece = scenario(name)
    text = piece.to_text()
    assert Project.from_text(text) == piece  # exact: the same numbers to the last bit
    assert Project.from_text(text).to_text() == text
    piece.write(tmp_path / "mine.toml")
    assert Project.read(tmp_path / "mine.toml") == piece


LETTERS = st.characters(exclude_categories=["Cs"], exclude_characters="\r").filter(
    lambda letter: ord(letter) >= 32 or letter in "\n\t"
)


def another(kind, value, data):
    """Another value that a field may hold: any number in its range, any words."""
    numbers = st.floats(kind.low, kind.high).filter(lambda x: x == 0 or abs(x) > 1e-9)
    if isinstance(value, bool):
        return data.draw(st.booleans())
    if isinstance(value, int) and not kind.dimension:
        return data.draw(st.integers(int(kind.low), int(kind.high)))
    if isinstance(value, float):
        return data.draw(numbers)
    if isinstance(value, tuple) and kind.dimension and value and isinstance(value[0], float):
        return tuple(data.draw(numbers) for _ in value)
    if isinstance(value, str):
        return data.draw(st.sampled_from(kind.options) if kind.options else st.text(LETTERS, max_size=30))
    return value


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(SCENARIO), st.sampled_from(["metric", "inches"]), st.data())
def test_any_piece_comes_back_to_the_last_bit(name, units, data):
    piece = replace(scenario(name), units=units)
    for path, kind, value in data.draw(
        st.lists(st.sampled_from(list(leaves(piece))), min_size=1, max_size=4)
    ):
        try:
            piece = changed(piece, path, another(kind, value, data))
        except PartError:  # impossible pieces are refused: that is tested below
            assume(False)
    text = piece.to_text()
    assert Project.from_text(text) == piece
    assert Project.from_text(text).to_text() == text


PIECES = [
    Laid(shape="ring", at=(0.05, 0.05), diameter=0.04, width=0.01, thickness=0.003),
    Laid(shape="line", points=((0.0, 0.0), (0.1, 1 / 30)), width=0.004, thickness=0.003),
    Rods(diameter=0.002, pitch=1 / 70, directions=2),
    Frit(grain=0.003, cover=1 / 3, points=((0.0, 0.0), (0.1, 0.0), (0.0, 0.1)), kept=0.45),
    Stock(what="frit", weight=0.45359237, price=12.5),
    Prices(currency='£ "new"\\ \t\x7f', kilowatt_hour=0.1 + 0.2, hour=1e-7),
    Fired(
        date=datetime.date(1999, 12, 31),
        segments=Schedule((Segment(None, 1450 / 3, 12.5), Segment(1 / 3, 20)), start=25),
        before=("before 1.jpg", "b'2.png"),
    ),
]


@pytest.mark.parametrize("part", PIECES, ids=lambda part: type(part).__name__)
@pytest.mark.parametrize("units", ["metric", "inches"])
def test_a_part_comes_back_as_it_was(part, units):
    faults: list[PartError] = []
    assert type(part).from_table(tomllib.loads(part.to_toml(units)), (), faults) == part
    assert not faults


def test_what_is_left_at_its_default_is_not_written():
    text = scenario("bookend").to_text()
    assert "loose" not in text and "wood" not in text and "tool" not in text


def test_the_reasons_of_segments_are_not_kept():
    run = Schedule((Segment(150, 540, 20, "because"), Segment(80, 20)))
    fired = Fired(date=datetime.date(2026, 3, 5), segments=run)
    assert [one.reason for one in fired.segments.segments] == ["", ""]


# ------------------------------------------------------------------------------------------ comments

FILES = {name: (_resources.datasets() / "pieces" / f"{name}.toml").read_text("utf-8") for name in SCENARIO}


def test_a_comment_stays_at_what_it_is_said_of():
    text = FILES["relief-tray"]
    tray = Project.from_text(text)
    assert tray.to_text(keep=text) == text  # nothing has changed
    deeper = replace(
        tray,
        size=(0.25, 0.18),
        slump=replace(tray.slump, depth=0.025, span=0.155),
        laid=(*tray.laid[1:], replace(tray.laid[0], name="new # strip")),
        stock=(*tray.stock, Stock(what="billet", weight=1.0)),
    )
    kept = deeper.to_text(keep=text)
    assert Project.from_text(kept) == deeper
    assert 'size = ["250 mm", "180 mm"]      # finished: along, across' in kept
    assert 'span = "155 mm"                  # of the mould, between its ledges' in kept
    assert kept.startswith("# The relief tray of the evening class (invented)")
    assert "count = 2\n\n[[laid]]                         # on the base" not in kept  # that part has moved
    untouched = [line for line in text.splitlines() if line.startswith("frit") or "sieves leave" in line]
    assert untouched and all(line in kept for line in untouched)
    # what was spelled in one way stays so: 24 cm is not written as 240 mm
    spelled = text.replace('"240 mm", "180 mm"', '"24 cm", "18 cm"')
    assert '"24 cm", "18 cm"' in replace(deeper, size=tray.size).to_text(keep=spelled)


def test_a_comment_that_goes_with_its_part_is_named():
    text = FILES["relief-tray"]
    tray = Project.from_text(text)
    bare = replace(tray, frit=()).to_text(keep=text)
    assert _comments.lost(text, bare) == ("# of crushed glass, what the sieves leave as medium",)
    assert _comments.lost(text, text) == ()


@pytest.mark.parametrize("keep", ["", "somebody's diary", 'name = "x"', FILES["bookend"][:200]])
def test_what_is_no_piece_file_has_nothing_to_keep(keep):
    banner = scenario("banner")
    assert banner.to_text(keep=keep) == banner.to_text()


def test_windows_line_ends_keep_their_comments():
    text = FILES["banner"].replace("\n", "\r\n")
    kept = replace(scenario("banner"), about="new").to_text(keep=text)
    assert _comments.lost(FILES["banner"], kept) == () and 'about = "new"' in kept


CHANGES = ("drop", "again", "turn round", "words", "nothing", "units", "number")


def otherwise(piece, change, data):
    """A piece with a part less, a part more, in another order, or other words."""
    rows = [
        one.name
        for one in dataclasses.fields(piece)
        if one.metadata["kind"].many and getattr(piece, one.name)
    ]
    name = data.draw(st.sampled_from(rows))
    row = list(getattr(piece, name))
    at = data.draw(st.integers(0, len(row) - 1))
    if change == "drop":
        return replace(piece, **{name: tuple(row[:at] + row[at + 1 :])})
    if change == "again":
        return replace(piece, **{name: (*row[:at], row[at], *row[at:])})
    if change == "turn round":
        return replace(piece, **{name: tuple(reversed(row))})
    if change == "words":
        return replace(piece, about=data.draw(st.text(LETTERS, max_size=30)))
    if change == "nothing":
        gone = data.draw(st.sampled_from(("prices", "group", "hanging", "bond", "slump", "cold_work")))
        return replace(piece, **{gone: None})
    if change == "units":
        return replace(piece, units=data.draw(st.sampled_from(["metric", "inches"])))
    return replace(piece, labour=data.draw(st.floats(1.0, 9000)))


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(SCENARIO), st.lists(st.sampled_from(CHANGES), min_size=1, max_size=4), st.data())
def test_any_change_is_written_into_the_file_as_it_is(name, changes, data):
    text = FILES[name]
    before = piece = Project.from_text(text)
    for change in changes:
        try:
            piece = otherwise(piece, change, data)
        except PartError:  # impossible pieces are refused
            assume(False)
    # not by way of the plain text that stands in where the library fails
    written = _comments.kept(text, before.to_text(), piece.to_text())
    assert Project.from_text(written) == piece
    assert piece.to_text(keep=text) == written


def test_a_file_is_never_written_over_unasked(tmp_path):
    place, piece = tmp_path / "mine.toml", scenario("banner")
    place.write_text("# my notes")
    with pytest.raises(FileExistsError, match="stays as it is"):
        piece.write(place)
    assert place.read_text() == "# my notes"
    piece.write(place, overwrite=True)
    assert Project.read(place) == piece
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]  # nothing half written is left


# ---------------------------------------------------------------------------------- faults by their lines


def faults_of(text):
    with pytest.raises(ProjectError) as caught:
        Project.from_text(text, "tile.toml")
    return str(caught.value).split("\n")


DAMAGES = [
    ('thickness = "3.2 mm"     # line 7', 'thickness = "3.2"', 7, "unit"),
    ('thickness = "3.2 mm"     # line 7', 'thickness = "3.2 g"', 7, "length"),
    ('thickness = "3.2 mm"     # line 7', "thickness = 3.2", 7, "length is written as text with a unit"),
    ('thickness = "3.2 mm"     # line 7', 'thickness = "3.2 m"', 7, "allowed is 0.3 mm"),
    ('thickness = "3.2 mm"     # line 7', 'thicknes = "3.2 mm"', 7, 'Did you mean "thickness"?'),
    ('thickness = "3.2 mm"     # line 7', "# nothing", 6, "thickness is missing"),
    ("count = 2", "count = 2.5", 8, "whole numbers from 1 to 20"),
    ("count = 2", 'count = "2"', 8, "whole numbers from 1 to 20"),
    ("count = 2", "count = true", 8, "whole numbers from 1 to 20"),
    ('shape = "disc"', 'shape = "disk"', 11, 'Did you mean "disc"?'),
    ('diameter = "20 mm"', 'size = ["20 mm", "20 mm"]', 13, "a disc has no size"),
    ('diameter = "20 mm"', 'diameter = "20 mm"\nwidth = "3 mm"', 14, "a disc has no width"),
    ('at = ["50 mm", "50 mm"]', 'at = ["50 mm"]', 12, "two lengths"),
    ('at = ["50 mm", "50 mm"]', 'at = "50 mm"', 12, "two lengths"),
    ('at = ["50 mm", "50 mm"]', 'at = ["500 mm", "50 mm"]', 10, "beside the piece"),
    ('process = "tack fuse"', 'process = "tackfuse"', 17, 'Did you mean "tack fuse"?'),
    ('process = "fire polish"', 'process = "slumping"', 20, 'Did you mean "slump"?'),
    ('  "10 mm",\n  "10 mm",', '  "10 mm",\n  "99 mm",', 26, "not inside the piece"),
    ('  "10 mm",\n  "10 mm",', '  "10 mm",\n  "10 kg",', 26, "length"),
    ("date = 2026-03-05", 'date = "5 March"', 36, "year-month-day"),
    ("date = 2026-03-05", "date = 2026-03-05T10:00:00", 36, "year-month-day"),
    ("to 540 C, 20 min;", "to 540, 20 min;", 37, "segment 1"),
    ('finding = "one disc moved"', "firing = 3", 38, "only 2 are planned"),
    ('finding = "one disc moved"', 'findings = "one disc moved"', 38, 'Did you mean "finding"?'),
    ('shelf = ["400 mm", "400 mm"]', 'shelf = ["90 mm", "400 mm"]', 4, "larger than the shelf"),
    ('shelf = ["400 mm", "400 mm"]', 'cooling = "3 h"', 33, 'Did you mean "cooling_time"?'),
    ("[kiln]", "[kilm]", 32, 'Did you mean "kiln"?'),
    ("[kiln]", "[[kiln]]", 32, "begin it with a line [kiln]"),
    ("[[sheet]]", "[sheet]", 6, "begin it with a line [[sheet]]"),
    ('glass = "kiln glass A"', 'glass = "kiln glass C"', 3, 'Did you mean "kiln glass'),
    ('glass = "kiln glass A"', "", 1, "glass is missing"),
    ('name = "tile"            # line 2', "name = ''", 2, "call the piece something"),
]


@pytest.mark.parametrize(("old", "new", "line", "words"), DAMAGES)
def test_a_fault_is_found_by_its_line(old, new, line, words):
    assert TILE.count(old) == 1, old
    found = faults_of(TILE.replace(old, new))
    assert any(one.startswith(f"tile.toml, line {line}: ") and words in one for one in found), found


def test_every_fault_is_named_at_once():
    found = faults_of(TILE.replace("count = 2", "count = 0").replace('"tack fuse"', '"tick fuse"'))
    assert [re.match(r"tile\.toml, line (\d+)", one)[1] for one in found] == ["8", "17"]


def test_what_is_no_toml_says_where():
    (found,) = faults_of(TILE.replace('size = ["4 in"', 'size = [4 in"'))
    assert found.startswith("tile.toml, line 4: ") and "at column 11" in found and "in quotes" in found


@pytest.mark.parametrize(
    "text", ["", "[", 'name = "x', "name = [[[[", "a = 1\na = 2", "\x00", "=" * 50, "[a]\n[a]"]
)
def test_any_text_is_read_or_refused_with_a_line(text):
    assert all(one.startswith("tile.toml, line ") for one in faults_of(text))


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, len(TILE) - 1), st.sampled_from(['"', "[", "]", "=", "\n", "#", "9", "x", ",", "'", "-"])
)
def test_one_wrong_letter_anywhere_ends_in_a_line_or_in_a_piece(place, letter):
    try:
        Project.from_text(TILE[:place] + letter + TILE[place + 1 :])
    except ProjectError as error:
        assert all(re.match(r"piece file, line \d+: .+", one) for one in str(error).split("\n"))


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2),
        (("sheet", 0, "count"), 8),
        (("laid", 0), 10),
        (("firing", 1, "look_for"), 21),
        (("hole", 0, "at", 1), 26),  # of a value over several lines, where it begins
        (("hole", 0, "diameter"), 30),
        (("kiln", "shelf"), 33),
        (("fired", 0, "log"), 35),  # not there: where its table begins
        (("nothing",), 1),
        ((), 1),
    ],
)
def test_lines_of_entries(path, line):
    assert lines_of(TILE, [path]) == {path: line}


def test_lines_are_found_however_toml_is_written():
    text = 'kiln = { name = "small", segments = 8 }\n\n"size" = [\n]\n'
    text += "fired = [\n{ a = 1 },\n{ b = 2 },\n]\nx.y = 1\n"
    paths = {("kiln", "segments"): 1, ("size",): 3, ("fired", 1, "b"): 5, ("x", "y"): 9}
    assert lines_of(text, paths) == paths


# --------------------------------------------------------------------------------------- impossible pieces

IMPOSSIBLE = [
    (("relief-tray", 'span = "150 mm"', 'span = "300 mm"'), "wider than the piece"),
    (("relief-tray", 'depth = "20 mm"', 'depth = "80 mm"'), "0.38 of the span"),
    (("relief-tray", 'process = "slump"', 'process = "fire polish"'), 'no firing whose process is "slump"'),
    (("relief-tray", 'pitch = "15 mm"', 'pitch = "1.5 mm"'), "side by side"),
    (("relief-tray", 'finish = "F400"', 'finish = "F40"'), "not finer"),
    (("relief-tray", 'finish = "F400"', 'finish = "G400"'), "G400"),
    (("relief-tray", '["216 mm", "104 mm"]]', '["216 mm", "104 mm"], ["150 mm", "0 mm"]]'), "crosses itself"),
    (("banner", "[drape]", "[drape]\nopen_ends = 0"), "Never fire a sealed hollow"),
    (("banner", 'former_width = "18 mm"', 'former_width = "60 mm"'), "nothing hangs down"),
    (("banner", 'along = "150 mm"', 'along = "160 mm"'), "strip is larger than the piece"),
    (("banner", 'paper = "fibre paper 2 mm"', 'paper = "fibre paper 4 mm"'), "fibre paper 2 mm"),
    (("door-sign", 'glass = "class amber"', 'glass = "class ambar"'), 'Did you mean "class amber"?'),
    (("door-sign", 'gap = "1.0 mm"', 'gap = "4 mm"'), "would not touch both"),
    (("bookend", 'process = "kiln casting"', 'process = "full fuse"'), "a casting begins with"),
    (("bookend", 'top = "130 mm"', ""), "a cone needs bottom and top"),
    (("bookend", "labour", 'size = ["90 mm", "90 mm"]\nlabour'), "leave size out"),
]


@pytest.mark.parametrize(("damage", "words"), IMPOSSIBLE)
def test_an_impossible_piece_is_refused(damage, words):
    name, old, new = damage
    text = scenario(name).to_text()
    assert old in text, text
    assert any(words in one for one in faults_of(text.replace(old, new, 1)))


def test_a_piece_made_in_code_is_checked_as_a_file_is():
    with pytest.raises(PartError, match=r"allowed is 0\.3 mm"):
        Laid(shape="disc", at=(0.05, 0.05), diameter=0.02, thickness=3.0)
    with pytest.raises(ValueError, match="fired at least once"):
        replace(scenario("banner"), firings=(), drape=None)
    with pytest.raises(ValueError, match=re.escape("give one of the two")):
        replace(scenario("bookend"), casting=None)


def test_zones_that_are_given_add_up():
    zone = '\n[[firing.zone]]\nthickness = "6.4 mm"\nshare = "60 %"\n'  # of the last firing
    text = scenario("banner").to_text() + zone
    assert any(
        'no part of [firing.zone]. Did you mean "share"' in one for one in faults_of(text + "shares = 1\n")
    )
    assert any("add up to 0.6" in one for one in faults_of(text))


# -------------------------------------------------------------------------------- files beside a piece file


def test_photographs_and_logs_have_to_be_there(tmp_path):
    text = TILE + 'log = "log.csv"\nbefore = ["a.jpg", "b.jpg"]\n'
    place = tmp_path / "tile.toml"
    place.write_text(text)
    (tmp_path / "a.jpg").write_bytes(b"")
    with pytest.raises(ProjectError) as caught:
        Project.read(place)
    said = str(caught.value).split("\n")
    assert said[0].startswith('tile.toml, line 39: log: there is no file "log.csv"')
    assert said[1].startswith('tile.toml, line 40: before: there is no file "b.jpg"')
    assert Project.read(place, files=False).fired[0].before == ("a.jpg", "b.jpg")
    (tmp_path / "b.jpg").write_bytes(b"")
    (tmp_path / "log.csv").write_bytes(b"")
    assert Project.read(place).fired[0].log == "log.csv"


def test_a_file_in_another_coding_is_refused(tmp_path):
    place = tmp_path / "tile.toml"
    place.write_bytes(TILE.encode("utf-16"))
    with pytest.raises(ProjectError, match="not UTF-8"):
        Project.read(place)
    place.write_bytes(b"\xef\xbb\xbf" + TILE.replace("\n", "\r\n").encode())  # as some editors save
    assert Project.read(place).name == "tile"


def test_a_large_file_is_refused_quickly():
    assert "200000 are read" in faults_of("# " + "x" * 200_000)[0]


def test_the_file_that_was_meant_is_named(tmp_path):
    (tmp_path / "Drape-Log.CSV").write_text("x", encoding="utf-8")
    said = 'there is no file "drape-log.csv" beside the piece file. Did you mean "Drape-Log.CSV"?'
    if not (tmp_path / "drape-log.csv").is_file():  # where capitals count
        assert not_beside("drape-log.csv", tmp_path) == said
    assert not_beside("Drape-Log.CSV", tmp_path) == "" == not_beside("", tmp_path)
    assert not_beside("holiday.jpg", tmp_path) == 'there is no file "holiday.jpg" beside the piece file.'


def test_every_field_of_every_part_is_described():
    def classes(part):
        for one in dataclasses.fields(part):
            if one.metadata["kind"].part:
                yield from classes(one.metadata["kind"].part)
        yield part

    for part in classes(Project):
        assert issubclass(part, Part)
        for one in dataclasses.fields(part):
            assert re.search(rf"\b{one.name}\b", part.__doc__), (part, one.name)


def test_the_piece_of_the_readme_is_one():
    readme = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(.+?)```", readme, re.DOTALL)
    tile = Project.from_text(text)
    assert tile.size == (0.1016, 0.1) and tile.firings[0].process == "full fuse"
