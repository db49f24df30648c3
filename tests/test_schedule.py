"""Schedules: hand-worked clocks, both unit systems without a lost bit, and a sentence for every slip."""

import dataclasses
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc.quantities import read
from kilncalc.schedule import UNLIMITED_RATE, Schedule, Segment, degrees_per_second

BEND = Schedule((Segment(150, 545, 30), Segment(None, 785, 12), Segment(100, 20)))
# hand: up 525 degC at 150: 3.5 h; hold 0.5 h; up 240 at 600: 0.4 h; hold 0.2 h; down 765 at 100: 7.65 h


# ---- durations and the programme ---------------------------------------------------------------------------


def test_duration_is_the_sum_of_ramps_and_holds():
    # hand: 3.5 + 0.5 + 0.4 + 0.2 + 7.65 = 12.25 h
    assert BEND.duration == pytest.approx(12.25 * 3600, rel=1e-14)
    assert type(BEND.duration) is float


def test_corners_by_hand():
    time, temperature = BEND.corners
    # hand: 3.5 h, 4 h, 4.4 h, 4.6 h, 12.25 h
    np.testing.assert_allclose(time, [0, 12600, 14400, 15840, 16560, 44100], rtol=1e-14)
    # exact: start, and each target twice where there is a hold
    np.testing.assert_array_equal(temperature, [20, 545, 545, 785, 785, 20])
    with pytest.raises(ValueError, match="read-only"):
        temperature[0] = 0


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (0, 20),  # exact: the start
        (1, 170),  # hand: 20 + 150
        (3.75, 545),  # hand: a quarter hour into the hold
        (4.2, 665),  # hand: 545 + 0.2 h x 600
        (5.6, 685),  # hand: 785 - 1 h x 100
        (12.25, 20),  # exact: the last target
    ],
)
def test_programme_at_a_time(hours, expected):
    assert BEND.temperature(3600 * hours) == pytest.approx(expected, rel=1e-12)


def test_programme_of_one_time_and_of_many():
    assert type(BEND.temperature(3600)) is float
    times = 3600 * np.array([[0, 1], [3.75, 5.6]])
    # hand: as above
    np.testing.assert_allclose(BEND.temperature(times), [[20, 170], [545, 685]], rtol=1e-12)


@pytest.mark.parametrize("time", [-1, 44101, float("nan"), [0, 1e9]])
def test_no_temperature_before_the_start_or_after_the_end(time):
    with pytest.raises(ValueError, match=r"^t is .* s; allowed is 0 to 44100 s"):
        BEND.temperature(time)


def test_as_fast_as_the_kiln_does_is_counted_at_the_stated_rate():
    assert UNLIMITED_RATE == 600.0  # exact: stated in the documentation
    # hand: 780 degC at 600 degC/h is 1.3 h
    assert Schedule((Segment(None, 800),)).duration == pytest.approx(1.3 * 3600, rel=1e-14)


def test_rate_in_seconds():
    assert degrees_per_second(180) == 0.05  # exact: 180 / 3600
    assert degrees_per_second(None) == pytest.approx(1 / 6, rel=1e-15)  # exact: 600 / 3600
    for rate in (0, -1, float("inf"), float("nan")):
        with pytest.raises(ValueError, match=r"^rate is"):
            degrees_per_second(rate)


def test_schedule_and_segment_are_frozen_and_plain():
    segment = Segment(np.float64(150), np.int64(540), np.float32(20))
    assert [type(value) for value in (segment.rate, segment.target, segment.hold_min)] == [float] * 3
    schedule = Schedule([segment])
    assert schedule.segments == (segment,)
    assert schedule == Schedule((Segment(150, 540, 20),), start=20)
    assert hash(schedule) == hash(Schedule((Segment(150, 540, 20),)))
    with pytest.raises(dataclasses.FrozenInstanceError):
        segment.target = 800
    with pytest.raises(dataclasses.FrozenInstanceError):
        schedule.start = 30
    assert dataclasses.replace(schedule, start=40).duration < schedule.duration


# ---- text --------------------------------------------------------------------------------------------------


def test_text_is_read():
    text = "150 C/h to 540 C, 20 min; as fast as the kiln does to 800 C, 10 min; 80 C/h to 20 C"
    expected = (Segment(150, 540, 20), Segment(None, 800, 10), Segment(80, 20))
    assert Schedule.from_text(text) == Schedule(expected)
    assert Schedule.from_text(text).to_text() == text


def test_text_in_us_units():
    # exact: 100 degC/h is 180 degF/h, no 32 added; 1004 degF is (1004 - 32) / 1.8 = 540 degC
    # (published: NIST SP 811 (2008), appendix B.8: t/degC = (t/degF - 32)/1.8; a kelvin is 1.8 degF)
    schedule = Schedule.from_text("180 F/h to 1004 F, 20 min; 90 F/h to 68 F")
    assert schedule == Schedule((Segment(100, 540, 20), Segment(50, 20)))
    assert schedule.to_text("metric") == "100 C/h to 540 C, 20 min; 50 C/h to 20 C"
    assert schedule.to_text("inches") == "180 F/h to 1004 F, 20 min; 90 F/h to 68 F"


def test_fahrenheit_that_is_not_round_in_celsius():
    schedule = Schedule.from_text("275 F/h to 1450 F, 7.5 min")
    segment = schedule.segments[0]
    # exact: (1450 - 32) x 5/9 = 7090/9, 275 x 5/9 = 1375/9, each rounded once to a float
    assert (segment.target, segment.rate) == (float(Fraction(7090, 9)), float(Fraction(1375, 9)))
    assert schedule.to_text("inches") == "275 F/h to 1450 F, 7.5 min"


@pytest.mark.parametrize(
    "text",
    [
        "150 °C/h to 540 °C, 1 h 30 min\nAs fast as the kiln does to 20 C",
        "  150 C/h  to 540 degC ,90 min ;; AS FAST AS THE KILN DOES to 68 °F;\n",
        "270 F/h to 1004 F, 1,5 h; as fast as the kiln does to 20,0 C",
    ],
)
def test_people_write_the_same_schedule_in_many_ways(text):
    # hand: 150 degC/h = 270 degF/h, 1004 degF = 540 degC, 1.5 h = 90 min
    assert Schedule.from_text(text) == Schedule((Segment(150, 540, 90), Segment(None, 20)))


def test_a_start_other_than_20():
    schedule = Schedule.from_text("start at 77 F; 150 C/h to 540 C")
    assert schedule.start == 25.0  # exact: (77 - 32) / 1.8
    assert schedule.to_text() == "start at 25 C; 150 C/h to 540 C"
    assert Schedule.from_text(schedule.to_text("inches")) == schedule


rates = st.none() | st.floats(0.01, 1e5)
holds = st.just(0.0) | st.floats(1e-6, 1e5)
no_reasons = st.just("")
reasons = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
at_any_speed = settings(deadline=None)  # a busy machine is no failure


@st.composite
def schedules(draw, reasons=no_reasons):
    """Any schedule, its numbers with every bit a float has."""
    start = draw(st.just(20.0) | st.floats(1e-6, 1300.0))
    targets = draw(st.lists(st.floats(min(start, 20.0), 1300.0), min_size=1, max_size=4))
    moving = [target for before, target in zip([start, *targets], targets, strict=False) if target != before]
    if not moving:
        moving = [21.0 if start != 21.0 else 22.0]
    return Schedule(
        tuple(Segment(draw(rates), target, draw(holds), draw(reasons)) for target in moving), start
    )


@at_any_speed
@given(schedules(), st.sampled_from(["metric", "inches"]))
def test_schedule_to_text_and_back_is_the_same_to_the_last_bit(schedule, units):
    text = schedule.to_text(units)
    assert Schedule.from_text(text) == schedule
    assert Schedule.from_text(text).to_text(units) == text


def decimals(low, high):
    """Numbers as a person writes them: up to four decimals, no zeros at the end."""
    return st.integers(low * 10_000, high * 10_000).map(lambda i: f"{(Decimal(i) / 10_000).normalize():f}")


@at_any_speed
@given(
    st.sampled_from([("metric", "C"), ("inches", "F")]),
    st.lists(
        st.tuples(st.none() | decimals(1, 9999), decimals(70, 1300), st.none() | decimals(1, 6000)),
        min_size=1,
        max_size=4,
        unique_by=lambda row: row[1],
    ),
)
def test_text_to_schedule_and_back_is_the_same_to_the_last_letter(system, rows):
    units, degree = system
    text = "; ".join(
        (f"{rate} {degree}/h" if rate else "as fast as the kiln does")
        + f" to {target} {degree}"
        + (f", {hold} min" if hold else "")
        for rate, target, hold in rows
    )
    assert Schedule.from_text(text).to_text(units) == text


@at_any_speed
@given(st.integers(70, 2300))
def test_whole_fahrenheit_stays_whole_by_way_of_metric_text(fahrenheit):
    text = f"100 F/h to {fahrenheit} F"
    metric = Schedule.from_text(text).to_text("metric")
    assert Schedule.from_text(metric).to_text("inches") == text


# ---- table -------------------------------------------------------------------------------------------------


def test_table_in_each_unit_system():
    table = BEND.table("metric")
    assert list(table.index) == [1, 2, 3]
    assert list(table["what happens"]) == ["heat, then hold", "heat, then hold", "cool"]
    assert list(table["rate"]) == ["150 °C/h", "as fast as the kiln does, counted as 600 °C/h", "100 °C/h"]
    assert list(table["target"]) == ["545 °C", "785 °C", "20 °C"]
    # hand: 3.5 h, 0.4 h, 7.65 h; sums 4 h, 4.6 h, 12.25 h
    assert list(table["change takes"]) == ["3 h 30 min", "24 min", "7 h 39 min"]
    assert list(table["hold"]) == ["30 min", "12 min", ""]
    assert list(table["since the start"]) == ["4 h", "4 h 36 min", "12 h 15 min"]
    assert "reason" not in table
    us = BEND.table("inches")
    # exact: 150 x 1.8, 100 x 1.8; 545 x 1.8 + 32, 785 x 1.8 + 32, 20 x 1.8 + 32
    assert list(us["rate"])[::2] == ["270 °F/h", "180 °F/h"]
    assert list(us["target"]) == ["1013 °F", "1445 °F", "68 °F"]
    both = BEND.table()
    assert both["target"][1] == "545 °C (1013 °F)"
    assert both["rate"][3] == "100 °C/h (180 °F/h)"
    with pytest.raises(ValueError, match="units"):
        BEND.table("imperial")


def test_table_shows_reasons_where_there_are_some():
    table = Schedule((Segment(150, 540, 20, "lets the shelf follow"), Segment(100, 20))).table()
    assert list(table["reason"]) == ["lets the shelf follow", ""]


def test_times_in_the_table_are_those_of_the_schedule():
    times = [read(cell, "time") for cell in BEND.table()["since the start"]]
    # exact: the ends of segments are corners 2, 4 and 5, all whole minutes here
    np.testing.assert_allclose(times, BEND.corners[0][[2, 4, 5]], rtol=1e-12)


# ---- files -------------------------------------------------------------------------------------------------


@at_any_speed
@given(schedule=schedules(reasons), units=st.sampled_from(["metric", "inches"]))
def test_file_and_back_is_the_same_to_the_last_bit(tmp_path_factory, schedule, units):
    path = tmp_path_factory.mktemp("schedule") / "firing.csv"
    schedule.to_csv(path, units)
    assert Schedule.from_csv(path) == schedule


def test_file_is_a_table_for_any_reader(tmp_path):
    path = tmp_path / "firing.csv"
    Schedule((Segment(100, 540, 20, "slow, for the thick part"), Segment(None, 20))).to_csv(
        path, units="inches"
    )
    table = pd.read_csv(path)  # an independent reader
    assert list(table) == ["segment", "rate_degF_per_h", "target_degF", "hold_min", "reason"]
    assert list(table["segment"]) == ["start", "1", "2"]
    # exact: 20 x 1.8 + 32, 540 x 1.8 + 32, 100 x 1.8
    assert list(table["target_degF"]) == [68, 1004, 68]
    assert list(table["rate_degF_per_h"])[1:] == ["180", "as fast as the kiln does"]
    assert table["reason"][1] == "slow, for the thick part"


def test_file_is_not_overwritten_unasked(tmp_path):
    path = tmp_path / "firing.csv"
    path.write_text("my notes")
    with pytest.raises(FileExistsError, match="overwrite=True"):
        BEND.to_csv(path)
    assert path.read_text() == "my notes"
    BEND.to_csv(path, overwrite=True)
    assert Schedule.from_csv(path) == BEND


METRIC = "segment,rate_degC_per_h,target_degC,hold_min,reason\n"
US = "segment,rate_degF_per_h,target_degF,hold_min,reason\n"


def test_file_from_a_spreadsheet(tmp_path):
    path = tmp_path / "firing.csv"
    lines = US + 'start,,77,,\n1,270,"1004,5",20.0,\n\n2,As fast as the kiln does,68,0,done\n'
    path.write_bytes(b"\xef\xbb\xbf" + lines.replace("\n", "\r\n").encode())
    # exact: (77 - 32) / 1.8 = 25, 270 / 1.8 = 150, (1004.5 - 32) / 1.8 = 9725 / 18
    expected = (Segment(150, float(Fraction(9725, 18)), 20), Segment(None, 20, 0, "done"))
    assert Schedule.from_csv(path) == Schedule(expected, start=25)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "the first line must be segment,rate_degC_per_h"),
        (b"\x00\xff\xfe\x01", "no table of comma-separated values in UTF-8"),
        (b'"open', "no table of comma-separated values in UTF-8"),
        (METRIC.replace(",", ";").encode(), "the first line must be"),
        (METRIC.replace("_degC", "").encode(), "the first line must be"),
        (METRIC.encode(), "the start: here the line must begin with “start”"),
        ((METRIC + "1,150,540,20,\n").encode(), "must begin with “start” and have 5 cells"),
        ((METRIC + "start,,20,,\n").encode(), "the schedule is empty"),
        ((METRIC + "start,100,20,,\n").encode(), "only a temperature belongs here"),
        ((METRIC + "start,,20,,\n2,150,540,20,\n").encode(), "segment 1: here the line must begin with “1”"),
        ((METRIC + "start,,20,,\n1,150,540\n").encode(), "segment 1: .* have 5 cells"),
        ((METRIC + "start,,20,,\n1,,540,20,\n").encode(), "segment 1: .* is no rate"),
        ((METRIC + "start,,20,,\n1,150,,20,\n").encode(), "segment 1: .*temperature"),
        ((METRIC + "start,,20,,\n1,150,540,,\n").encode(), "segment 1: .*time"),
        ((METRIC + "start,,20,,\n1,150,540 F,20,\n").encode(), "segment 1: .*540 F"),
        ((METRIC + "start,,20,,\n1,150,nan,20,\n").encode(), "segment 1: .*not a number"),
        ((METRIC + "start,,20,,\n1,150,1450,20,\n").encode(), "Did you mean 1450 °F"),
        ((METRIC + "start,,20,,\n1,150,540,20,\n2,150,540,20,\n").encode(), "segment 2 goes nowhere"),
    ],
)
def test_a_file_that_is_no_schedule(tmp_path, content, says):
    path = tmp_path / "firing.csv"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=says) as refusal:
        Schedule.from_csv(path)
    assert str(refusal.value).startswith(f"{path}: ")


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(FileNotFoundError):
        Schedule.from_csv(tmp_path / "none.csv")


# ---- refusals ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (
            (0, 540),
            "rate is 0 degC/h; allowed is 0.01 to 100000 degC/h. A kiln at a rate of zero never arrives",
        ),
        ((-150, 540), "rate is -150 degC/h.*without a minus"),
        ((float("inf"), 540), "rate is inf"),
        ((float("nan"), 540), "rate is nan"),
        (("fast", 540), "rate must be a number in degC/h"),
        (([100, 200], 540), "rate must be one number"),
        ((150, None), "target"),
        ((150, float("nan")), "target is nan degC; allowed is 0 to 1300 degC"),
        ((150, -10), "target is -10 degC; allowed is 0 to 1300 degC"),
        # exact: (1450 - 32) / 1.8 = 787.8
        ((150, 1450), "target is 1450 degC; allowed is 0 to 1300 degC. Did you mean 1450 °F, that is 788 °C"),
        ((150, float("inf")), "target is inf degC; allowed is 0 to 1300 degC$"),
        ((150, 540, -1), "hold is -1 min; allowed is 0 to 100000 min"),
        ((150, 540, float("inf")), "hold is inf min"),
        ((150, 540, 10, None), "reason must be words"),
    ],
)
def test_segment_refuses(arguments, says):
    with pytest.raises(ValueError, match=says):
        Segment(*arguments)


@pytest.mark.parametrize(
    ("segments", "start", "says"),
    [
        ((), 20, "the schedule is empty"),
        (Segment(150, 540), 20, "a row of Segment"),
        (None, 20, "a row of Segment"),
        ("150 C/h to 540 C", 20, "a row of Segment"),
        (("150 C/h to 540 C",), 20, "segment 1 must be a Segment"),
        ((Segment(150, 20),), 20, r"segment 1 goes nowhere: the kiln is already at 20 °C \(68 °F\)"),
        ((Segment(150, 540), Segment(100, 540, 30)), 20, "segment 2 goes nowhere.*Add its hold"),
        (
            (Segment(150, 540), Segment(100, 10)),
            20,
            "segment 2: target is 10 °C.*colder than the room, 20 °C",
        ),
        ((Segment(150, 540), Segment(100, 19.9)), 500, "colder than the room"),
        ((Segment(150, 540), Segment(100, 11)), 12, "colder than the room, 12 °C"),
        ((Segment(150, 540),), float("nan"), "start is nan"),
        ((Segment(150, 540),), -5, "start is -5 degC"),
    ],
)
def test_schedule_refuses(segments, start, says):
    with pytest.raises(ValueError, match=says):
        Schedule(segments, start)


def test_a_cold_workshop_may_cool_to_its_own_room():
    schedule = Schedule((Segment(150, 540), Segment(100, 12)), start=12)
    # hand: 528 / 150 + 528 / 100 h
    assert schedule.duration == pytest.approx((3.52 + 5.28) * 3600, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "the schedule is empty"),
        (" ;\n; ", "the schedule is empty"),
        ("start at 25 C", "the schedule is empty"),
        (None, "written as text"),
        ("150 to 540 C", "segment 1: “150” has no unit"),
        ("150 C/h to 540", "segment 1: “540” has no unit"),
        ("150 C/h to 540 C, 20", "segment 1: “20” has no unit"),
        ("start at 25; 150 C/h to 540 C", "the start: “25” has no unit"),
        ("150 C to 540 C", "segment 1: “150 C” is a temperature, but a rate"),
        ("150 C/h to 540 C/h", "segment 1: .* but a temperature"),
        ("150 C/h to 540 C, 20 C", "segment 1: .* but a time"),
        ("150 C/h to 540 C 20 min", "segment 1: “540 C 20 min” mixes"),
        ("150 C/h to 540 C, -20 min", "segment 1: “-20 min” is negative"),
        ("150 C/h to 540 C; 0 C/h to 600 C", "segment 2: rate is 0 degC/h"),
        ("150 C/h to 540 C; -100 F/h to 68 F", "segment 2: rate is .*without a minus"),
        ("150 C/h to 540 C; 100 F/h to 1004 F, 20 min", "segment 2 goes nowhere"),
        ("150 C/h to 540 C; 150 C/h to 50 F", "segment 2: target is 10 °C .*colder than the room"),
        ("150 C/h to -10 C", "segment 1: target is -10"),
        ("150 C/h to 1450 C", "segment 1: .*Did you mean 1450 °F"),
        # exact: (2500 - 32) / 1.8
        ("150 C/h to 2500 F", "segment 1: target is 1371.11 degC; allowed is 0 to 1300 degC$"),
        ("inf C/h to 540 C", "segment 1: “inf C/h” is no"),
        ("150 C/h to inf C", "segment 1: “inf C” is not a number"),
        ("150 C/h to 540 C, inf min", "segment 1: “inf min” is not a number"),
        ("150 C/h to 1,250 C", "segment 1: .*two ways"),
        ("quickly to 540 C", "segment 1: “quickly” is no rate; .*“as fast as the kiln does”"),
        ("150 C/h up to 540 C", "segment 1: .*unknown unit"),
        ("150 C/h towards 540 C", "segment 1: “150 C/h towards 540 C” cannot be read"),
        ("soak 20 min", "segment 1: “soak 20 min” cannot be read"),
        ("150 C/h to 540 C, hold 20 min", "segment 1: “hold 20 min” cannot be read"),
        ("150 C/h to 540 C, 20 min, 100 C/h to 20 C", "segment 1: "),
        ("150 C/h to 540 C; start at 25 C", "segment 2: “start at 25 C” cannot be read"),
        ("x" * 5000, "segment 1: “x{77}\\.\\.\\.” cannot be read"),
    ],
)
def test_text_refused_with_a_sentence(text, says):
    with pytest.raises(ValueError, match=says):
        Schedule.from_text(text)


def test_text_in_both_unit_systems_at_once_could_not_be_read_back(tmp_path):
    for write in (BEND.to_text, lambda units: BEND.to_csv(tmp_path / "firing.csv", units)):
        with pytest.raises(ValueError, match="units is 'both'; allowed are metric and inches"):
            write("both")
    assert not list(tmp_path.iterdir())


# ---- warnings ----------------------------------------------------------------------------------------------


def test_warning_when_the_controller_holds_fewer_segments():
    assert BEND.warnings(controller_segments=3) == []
    (sentence,) = BEND.warnings(controller_segments=2)
    assert "3 segments" in sentence
    assert "holds 2" in sentence
    with pytest.raises(ValueError, match="controller_segments is 0"):
        BEND.warnings(controller_segments=0)


def test_warning_when_fahrenheit_may_have_been_typed_as_celsius():
    assert BEND.warnings() == []
    (sentence,) = Schedule((Segment(150, 540), Segment(150, 1200))).warnings()
    # exact: (1200 - 32) / 1.8 = 648.9
    assert sentence.startswith("Segment 2 goes to 1200 °C")
    assert "Did you mean 1200 °F, that is 649 °C?" in sentence


def test_too_hot_is_doubted_above_1000_degrees():
    # common practice, no source: glass in a kiln is fired below 1000 °C
    assert Schedule([Segment(300, 1000)]).warnings() == []
    (warning,) = Schedule([Segment(300, 1001)]).warnings()
    assert "1001 °C" in warning and "hotter than most glass is fired" in warning
    assert "1050" in Schedule([Segment(300, 1050)]).warnings()[0]
