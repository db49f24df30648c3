"""A kiln's log in every dialect of loggers: the same firing each time, or a sentence about what is wrong."""

import random

import numpy as np
import pytest

from kilncalc.firing_log import LARGEST_FILE, FiringLog, log_from_text, read_log
from kilncalc.schedule import Schedule, Segment

PLAN = Schedule((Segment(150, 620, 30), Segment(None, 515, 20), Segment(60, 380), Segment(100, 30)))
MINUTES = np.arange(0, PLAN.duration / 60, 5)
SHOWN = np.round(PLAN.temperature(60 * MINUTES), 1)


def clock(minutes, start=18 * 60 + 40, form="{:02d}:{:02d}"):
    return form.format(int(start + minutes) // 60 % 24, int(start + minutes) % 60)


def day(minutes, order):
    number = 28 + int(18 * 60 + 40 + minutes) // 1440  # the firing passes from a month to the next
    year, month, number = 2026, 2 if number <= 28 else 3, number if number <= 28 else number - 28
    return order.format(year=year, month=month, day=number)


def american(minutes):
    at = int(18 * 60 + 40 + minutes) // 60 % 24
    return f"{at % 12 or 12}:{int(40 + minutes) % 60:02d} {'PM' if at >= 12 else 'AM'}"


def fahrenheit(shown):
    return shown * 1.8 + 32


def text(head, row, rows=None):
    return "\n".join([head, *(row(m, t) for m, t in (rows or zip(MINUTES, SHOWN, strict=True)))])


DIALECTS = {
    "minutes": text("time_min,temperature_degC", lambda m, t: f"{m:g},{t:.1f}"),
    "seconds": text("t [s]\tKiln [°C]", lambda m, t: f"{60 * m:g}\t{t:.1f}"),
    "milliseconds": text("elapsed (ms),TC1 (C)", lambda m, t: f"{60000 * m:.0f},{t:.1f}"),
    "hours, decimal comma": text("Zeit h;Ofen °C", lambda m, t: f"{m / 60:.4f};{t:.1f}".replace(".", ",")),
    "clock over midnight": text("Clock;Temp °C", lambda m, t: f"{clock(m)};{t:.1f}"),
    "clock with seconds": text("Clock,Temp °C", lambda m, t: f"{clock(m)}:00,{t:.1f}"),
    "am and pm, °F": text("Time,Temp (°F)", lambda m, t: f"{american(m)},{fahrenheit(t):.1f}"),
    "elapsed as a clock": text("run time,kiln c", lambda m, t: f"{clock(m, 0, '{}:{:02d}')},{t:.1f}")
    if MINUTES[-1] < 1440
    else "",
    "moment, ISO": text(
        "timestamp,pv_C", lambda m, t: f"{day(m, '{year}-{month:02d}-{day:02d}')}T{clock(m)}:00Z,{t:.1f}"
    ),
    "moment, day first": text(
        "Datum;Ist °C;Soll °C",
        lambda m, t: f"{day(m, '{day:02d}.{month:02d}.{year}')} {clock(m)};{t:.1f};{t + 1:.1f}".replace(
            ".", ",", 0
        ),
    ),
    "moment, month first": text(
        "Date/Time,Kiln F", lambda m, t: f"{day(m, '{month}/{day}/{year}')} {clock(m)},{fahrenheit(t):.1f}"
    ),
    "date and clock apart": text(
        "Date,Clock,Set C,Actual C,Output %",
        lambda m, t: f"{day(m, '{day:02d}/{month:02d}/{year}')},{clock(m)},{t + 3:.1f},{t:.1f},{m % 90:g}",
    ),
    "number of the row before": text("No.;Time (min);°C", lambda m, t: f"{m / 5 + 1:g};{m:g};{t:.1f}"),
    "two lines of heading": "kiln log\n\n" + text("time;kiln\nmin;°C", lambda m, t: f"{m:g};{t:.1f}"),
    "preamble": "Logger: 7\nChannel,1\nUnits: degrees F\n\n"
    + text("minutes,reading", lambda m, t: f"{m:g},{fahrenheit(t):.1f}"),
    "blanks": text("min degC", lambda m, t: f"{m:g}   {t:.1f}"),
    "units in the cells": text("when,what", lambda m, t: f"{m:g} min,{t:.1f} °C"),
    "quoted": text('"time (min)","temp, kiln (°C)"', lambda m, t: f'"{m:g}","{t:.1f}"'),
    "quoted, decimal comma": text(
        '"time (min)","temp (°C)"', lambda m, t: f'"{m:g}","{t:.1f}"'.replace(".", ",")
    ),
    "marks of thousands": text(
        "time (min),temp (°F)",
        lambda m, t: f'{m:g},"{fahrenheit(t):,.1f}"',
    ),
    "no heading, numbers only": text("", lambda m, t: f"{m:g},{t:.1f}"),
    "newest first": text(
        "time (min),temp (°C)",
        lambda m, t: f"{m:g},{t:.1f}",
        list(zip(MINUTES, SHOWN, strict=True))[::-1],
    ),
    "names that mean nothing": text("aa;bb;cc", lambda m, t: f"{m:g};{t:.1f};0.4"),
}


@pytest.mark.parametrize("dialect", [name for name, content in DIALECTS.items() if content])
def test_the_same_firing_in_every_dialect(dialect):
    log = log_from_text(DIALECTS[dialect])
    # hand: what was written; tenths of °F are 0.03 K
    assert log.time == pytest.approx(60 * MINUTES, rel=0, abs=0.2)
    assert log.temperature == pytest.approx(SHOWN, rel=0, abs=0.03 if "F" in DIALECTS[dialect] else 1e-9)
    assert log.assumed


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_file_in_any_usual_letters(tmp_path, code, ending):
    path = tmp_path / "log.csv"
    path.write_bytes(DIALECTS["clock over midnight"].replace("\n", ending).encode(code))
    log = read_log(path)
    assert log.temperature == pytest.approx(SHOWN, rel=1e-9)
    assert ("letters read as Western European (cp1252)" in log.assumed) == (code == "cp1252")
    assert log.mended == ("the clock passes midnight once; the hours are counted on",)


def lines():
    return DIALECTS["minutes"].split("\n")


def test_lines_that_are_no_readings_are_left_out_and_named():
    rows = lines()
    rows[40] = "195,ERR"
    rows[50] = ""
    rows[60] = "295,"
    rows[70] = "345,9999"
    rows.append("end of log")
    log = log_from_text("\n".join(rows))
    # hand: ERR, an empty cell, 9999 and the last line; a blank line is nothing
    assert log.mended == ("4 lines left out, which held no reading",)
    assert log.time.size == MINUTES.size - 4
    assert np.interp(195 * 60, log.time, log.temperature) == pytest.approx(SHOWN[39], rel=0.02)


def test_spikes_are_bridged_and_named():
    rows = lines()
    rows[41] = "200,1200"
    rows[100], rows[101] = "495,30", "500,30"
    log = log_from_text("\n".join(rows))
    assert log.mended == (
        "3 readings jumped away and back, the first to 1200 °C (2192 °F) after 3 h 20 min; bridged by a "
        "straight line",
    )
    # hand: on the first ramp a straight line is the ramp itself: 20 + 150 x 200/60 = 520
    assert log.temperature[40] == pytest.approx(520, rel=1e-9)
    assert log.temperature == pytest.approx(SHOWN, rel=0, abs=12)


def test_a_firing_has_no_spikes_of_its_own():
    # every corner of 50 random firings, noise of 2 K, any interval: nothing is taken for a spike
    for seed in range(50):
        rng = np.random.default_rng(seed)
        fast = Schedule(
            (
                Segment(rng.uniform(100, 900), rng.uniform(600, 900), rng.choice([0, 1, 10])),
                Segment(rng.uniform(100, 900), rng.uniform(450, 550), 20),
                Segment(60, 300),
            )
        )
        every = rng.choice([10, 30, 60, 120, 300])
        time = np.arange(0, fast.duration, every)
        shown = fast.temperature(time) + rng.normal(0, 2, time.size)
        log = log_from_text(text("s,C", lambda s, t: f"{s:.0f},{t:.2f}", list(zip(time, shown, strict=True))))
        assert log.mended == (), (seed, log.mended)


def test_gaps_and_equal_times_are_named():
    rows = lines()
    del rows[31:40]
    log = log_from_text("\n".join(rows))
    assert log.mended == ("no reading for 50 min after 2 h 25 min; bridged by a straight line",)
    # two readings a minute, written with a clock of minutes
    twice = text("clock,°C", lambda m, t: f"{clock(m)},{t - 1:.1f}\n{clock(m)},{t + 1:.1f}")
    log = log_from_text(twice)
    assert log.mended[-1] == f"{MINUTES.size} readings had the time of another; their mean counts"
    assert log.temperature == pytest.approx(SHOWN, rel=1e-9)


def test_what_a_person_names_decides():
    two = text("min;upper °C;lower °C", lambda m, t: f"{m:g};{t:.1f};{t - 8:.1f}")
    with pytest.raises(ValueError, match=r"may be the temperature \(“upper °C”, “lower °C”\); say which"):
        log_from_text(two)
    for column in ("lower °C", 3, "LOWER °C"):
        assert log_from_text(two, temperature_column=column).temperature == pytest.approx(SHOWN - 8, rel=1e-9)
    bare = text("a,b", lambda m, t: f"{m:g},{t:.1f}")
    assert log_from_text(bare, time_unit="h").time[-1] == pytest.approx(3600 * MINUTES[-1], rel=1e-12)
    assert log_from_text(bare, unit="degF").temperature[0] == pytest.approx(-6.6667, rel=1e-4)  # hand: 20 °F
    assert log_from_text(text("x,min,°C", lambda m, t: f"{m},{m},{t}"), time_column="x").assumed[0] == (
        "time from “x”, temperature from “°C”"
    )


def ramp(start, rows=40, step=25.0):
    return "\n".join(["a,b", *(f"{10 * n},{start + step * n:g}" for n in range(rows))])


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("", "this is no log: 0 lines, and none of them with a time and a temperature"),
        ("dear diary\n" * 40, "this is no log: 40 lines, and none of them"),
        ("a,b\n1,2\n2,3", "3 lines, and 2 of them with a time and a temperature; a log needs 10 or more"),
        (text("min,°C", lambda m, t: f"{m:g},{20 + m / 100:.2f}"), "no column of a kiln's temperatures"),
        (text("min,target °C", lambda m, t: f"{m:g},{t}"), "not be what the programme asks for"),
        (text("x,kiln °C", lambda m, t: f"{(m * 37) % 50:g},{t}"), "there is no column of times"),
        (text("a,b,c,°C", lambda m, t: f"{m},{2 * m:g},{m / 60:.4f},{t}"), "several columns may be the time"),
        (ramp(60, step=20), "°C or in °F is not said"),
        ("\n".join(["a,°C", *(f"{n / 1e6:.6f},{20 + 25 * n}" for n in range(40))]), "unit of the times"),
        ("\n".join(["min,°C", *(f"{n},0,{20 + 5 * n},5" for n in range(120))]), "a decimal comma in columns"),
        (
            text("clock,°C", lambda m, t: f"{clock(m - (60 if m > 300 else 0))},{t}"),
            "the time goes back by 55 min after reading 61, 5 h into the log",
        ),
        ("\n".join(["min,°C", *(f"{n},{5000 if n % 3 else 20 + n}" for n in range(400))]), "of 400 rows are"),
    ],
)
def test_what_is_no_log_is_refused_with_a_sentence(content, sentence):
    with pytest.raises(ValueError) as refused:
        log_from_text(content)
    assert sentence in str(refused.value)


def test_files_that_are_no_logs(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(b"PK\x03\x04\0\0\0")
    with pytest.raises(ValueError, match=r"log\.csv: this is no text; save the log as CSV"):
        read_log(path)
    path.write_bytes(b"1,20\n" * (LARGEST_FILE // 5 + 1))
    with pytest.raises(ValueError, match=r"log\.csv is 5\.0 MB long; a log of up to 5 MB can be read"):
        read_log(path)
    path.write_bytes(b"1,20\n" * 200_001)
    with pytest.raises(ValueError, match="200001 lines; up to 200000"):
        read_log(path)
    with pytest.raises(FileNotFoundError):
        read_log(tmp_path / "none.csv")


def test_rubbish_ends_in_a_sentence_or_in_a_log():
    random.seed(5)
    letters = '0123456789,;.:\t "-+eE°CFmin/\n\nkiln'
    pieces = [*letters, "12:30", "20.5", "\n", "\r\n", ",", ";", "9e999", "nan", "inf", "2026-02-30 25:61"]
    sentences = 0
    for _ in range(400):
        rubbish = "".join(random.choice(pieces) for _ in range(random.randint(0, 900)))
        broken = lines()
        for _ in range(20):
            broken[random.randrange(len(broken))] = rubbish[: random.randint(0, 80)]
        for content in (rubbish, "\n".join(broken)):
            try:
                log = log_from_text(content)
            except ValueError as error:
                sentences += 1
                assert len(str(error)) < 700 and str(error).isprintable()
            else:
                assert np.isfinite(log.time).all() and np.isfinite(log.temperature).all()
    assert sentences > 300


def test_names_in_a_file_are_only_ever_quoted():
    name = "__import__('os').system('touch /tmp/never')\x1b[31m" + "x" * 500
    content = text(f"min;{name} °C;other °C", lambda m, t: f"{m:g};{t};{t}")
    with pytest.raises(ValueError) as refused:
        log_from_text(content)
    assert "\x1b" not in str(refused.value) and len(str(refused.value)) < 300


# ------------------------------------------------------------------ the log itself


@pytest.mark.parametrize(
    ("time", "shown", "sentence"),
    [
        (np.arange(20.0), np.full(20, 400.0), "no log of a firing: the temperature stays between"),
        (np.zeros(20), np.linspace(20, 800, 20), "must go up"),
        (np.arange(5.0), np.linspace(20, 800, 5), "5 readings; from 10 to 200000"),
        (np.arange(20.0), np.linspace(20, 1500, 20), "temperature is 1344"),
        (np.arange(20.0), np.linspace(20, 800, 19), "equal length"),
        (np.arange(20.0) * 1e6, np.linspace(20, 800, 20), "time is 4e"),
    ],
)
def test_a_log_is_checked(time, shown, sentence):
    with pytest.raises(ValueError) as refused:
        FiringLog(time, shown)
    assert sentence in str(refused.value)


@pytest.mark.parametrize("noise", [0.0, 0.5, 2.0])
def test_straight_lines_bring_the_programme_back(noise):
    # exact: a log of a programme that a kiln follows is that programme
    worst = typical = 0.0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        time = np.arange(0.0, PLAN.duration, 60.0)
        log = FiringLog(time, PLAN.temperature(time) + rng.normal(0, noise, time.size))
        assert log.noise == pytest.approx(noise, rel=0.15, abs=0.1)
        back = log.schedule()
        inside = np.linspace(1800, back.duration - 1800, 500)
        worst = max(
            worst, float(np.abs(back.temperature(inside) - PLAN.temperature(inside + log.begins)).max())
        )
        typical = max(
            typical,
            float(np.sqrt(((back.temperature(inside) - PLAN.temperature(inside + log.begins)) ** 2).mean())),
        )
    assert worst < {0.0: 1.0, 0.5: 3.0, 2.0: 9.0}[noise]
    assert typical < {0.0: 0.1, 0.5: 0.6, 2.0: 1.9}[noise]


def test_whole_degrees_and_coarse_steps_do_not_make_stairs():
    time = np.arange(0.0, PLAN.duration, 30.0)
    for step in (1.0, 3.0, 5.0):
        log = FiringLog(time, np.round(PLAN.temperature(time) / step) * step)
        assert len(log.corners[0]) < 60
        assert np.abs(log.at(time) - PLAN.temperature(time)).max() < 2 * step


def test_a_log_that_idles_and_a_frosty_workshop():
    waiting = np.concatenate([np.full(60, 19.8), SHOWN])
    log = FiringLog(300.0 * np.arange(waiting.size), waiting)
    assert log.begins == pytest.approx(60 * 300, abs=300, rel=0)
    assert log.schedule().duration == pytest.approx(PLAN.duration, rel=0, abs=1200)
    frost = FiringLog(300.0 * np.arange(SHOWN.size), SHOWN - 30)
    assert frost.schedule().start == 0.0  # hand: 20 - 30 = -10; at 150 °C/h it passes zero after 4 min
    assert frost.begins == pytest.approx(240, rel=0.05)


def test_a_long_log_is_read_in_time():
    time = np.arange(0.0, 40 * 3600, 1.0)
    shown = 20 + 700 * np.sin(np.pi * time / time[-1]) + np.random.default_rng(1).normal(0, 2, time.size)
    log = FiringLog(time, shown)
    assert np.abs(log.at(time) - shown).std() < 3
    assert len(log.schedule().segments) < 200


def test_an_error_of_the_sensor_is_added_and_named():
    log = FiringLog(300.0 * np.arange(SHOWN.size), SHOWN)
    assert log.warmer_by(20).temperature == pytest.approx(SHOWN + 20, rel=1e-12)
    assert log.warmer_by(20).mended == ("20 °C (36 °F) added to every reading, the error of the sensor",)
    assert log.warmer_by(0) is log
    with pytest.raises(ValueError, match="degrees is 200 K"):
        log.warmer_by(200)


@pytest.mark.parametrize(
    ("order", "said"),
    [("{day:02d}/{month:02d}/2026", "day, month, year"), ("{month:02d}/{day:02d}/2026", "month, day, year")],
)
def test_day_and_month_stand_in_the_order_that_makes_the_shorter_firing(order, said):
    def row(minutes, shown):
        at = 18 * 60 + 40 + int(minutes)
        return f"{order.format(day=3 + at // 1440, month=5)} {clock(minutes)},{shown:.1f}"

    log = log_from_text(text("when,°C", row))
    # hand: from the 3rd to the 4th of May, or from the 5th of March to the 5th of April
    assert log.time == pytest.approx(60 * MINUTES, rel=1e-12)
    assert f"dates read as {said}" in str(log.assumed)
