"""Lessons 4 and 4b: the printed exercises worked by hand, and what their pictures must say."""

import re

import numpy as np
import pytest

from kilncalc import materials
from kilncalc.exercises import question
from kilncalc.exercises._marking import mark_numbers
from kilncalc.firing import SMALL_BRICK_KILN, Kiln, fire
from kilncalc.panels import lesson4, lesson4b
from kilncalc.panels import show as show_panel
from kilncalc.piece import Layer, Piece, Zone
from kilncalc.quantities import SYSTEMS, Show, read
from kilncalc.schedule import Schedule
from kilncalc.writing import write_schedule

GLASS = materials.glass("kiln glass A")

FIRST_ANSWERS = {
    # hand: 600/150 + 30/60 + 120/240 + 15/60 + 225/300 = 4 + 0.5 + 0.5 + 0.25 + 0.75 h
    ("4.1", "metric"): "6 h",
    # hand: 1080/270 + 30/60 + 200/400 + 15/60 + 390/500 = 4 + 0.5 + 0.5 + 0.25 + 0.78 h
    ("4.1", "inches"): "6.03 h",
    ("4.2", "metric"): "270",  # hand: 150 x 1.8
    ("4.2", "inches"): "150",  # hand: 270 / 1.8
    ("4.3", "metric"): "5 h 20 min",  # hand: twice the thickness, 4 x 80 min
    ("4.3", "inches"): "5 h 20 min",  # hand: twice the thickness, 4 x 80 min
    # hand: 400/4 = 100 degC/h; 90, 40 and 80 are slower, 250 is not
    ("4.4", "metric"): "6",
    # hand: 720/4 = 180 degF/h; 160, 70 and 140 are slower, 450 is not
    ("4.4", "inches"): "6",
    ("4.5", "metric"): "96 min",  # hand: 40, 20, 10, 5, 2.5: 4 x 12 min, and as long again
    ("4.5", "inches"): "96 min",  # hand: 80, 40, 20, 10, 5: 4 x 12 min, and as long again
    ("4.6", "metric"): "2.541176 °C",  # hand: 60 x 12^2 / (2 x 1700)
    ("4.6", "inches"): "5.288462 °F",  # hand: 110 x 0.5^2 / (2 x 2.6)
    ("4b.1", "metric"): "5.5 °C",  # hand: 2.2 x (8 - 3) x 50/100
    ("4b.1", "inches"): "13 °F",  # hand: 13 x 2 x 90/180
    ("4b.2", "metric"): "5.04 MPa",  # hand: 9 x 0.8 x (1 - 0.3)
    ("4b.2", "inches"): "728 psi",  # hand: 16 x 65 x (1 - 0.3)
    ("4b.3", "metric"): "119.6 mm",  # hand: 4 x 2.3 x 13
    ("4b.3", "inches"): "3.9 in",  # hand: 4 x 0.075 x 13
    ("4b.4", "metric"): "0.3518519",  # hand: 1 - 200 x 140 / (240 x 180)
    ("4b.4", "inches"): "0.3383459",  # hand: 1 - 8 x 5.5 / (9.5 x 7)
}


@pytest.mark.parametrize(("key", "units"), FIRST_ANSWERS)
def test_the_printed_numbers_lead_to_the_answer_worked_by_hand(key, units):
    asked = question(key)
    by_hand = read(FIRST_ANSWERS[key, units], asked.dimension)
    assert asked.value(asked.variant(units, 0)) == pytest.approx(by_hand, rel=1e-6, abs=0)


@pytest.mark.parametrize(
    ("changed", "first"),
    [
        # hand: 12 mm may have 100 degC/h, segment 1 asks for 130
        ({"heat": "130 °C/h"}, 1),
        # hand: segment 5 asks for 150
        ({"middle": "150 °C/h"}, 5),
        # hand: 9 mm may have 400 x (6/9)^2 = 178 degC/h: 130 and 150 pass, 220 does not
        ({"thick": "9 mm", "heat": "130 °C/h", "middle": "150 °C/h", "last": "220 °C/h"}, 6),
    ],
)
def test_the_first_unsafe_segment_follows_the_numbers(changed, first):
    asked = question("4.4")
    numbers = asked.numbers("metric", {**asked.variant("metric", 0).texts, **changed})
    assert asked.value(numbers) == first


# ------------------------------------------------------------------ answers, slips, workings


@pytest.mark.parametrize(
    ("key", "units", "typed"),
    [
        ("4.1", "metric", "6:00"),  # hand: 6 h
        ("4.1", "metric", "6h00"),
        ("4.1", "inches", "6:02"),  # hand: 6.03 h
        ("4.3", "metric", "5h20"),  # hand: 4 x 80 min
        ("4.3", "inches", "5:20 h"),
        ("4.5", "metric", "1:36"),  # hand: 96 min
        ("4.2", "metric", "270 °F/h"),  # hand: 150 x 1.8
        ("4.2", "metric", "270 F/h"),
        ("4.2", "inches", "150 C/h"),  # hand: 270 / 1.8
    ],
)
def test_answers_are_read_as_a_kiln_shows_them(key, units, typed):
    asked = question(key)
    assert mark_numbers(asked, asked.variant(units, 0), typed).right


def test_the_number_of_the_wrong_scale_is_a_slip_however_it_is_written():
    asked = question("4.2")
    for typed in ("150", "150 °C/h"):
        assert mark_numbers(asked, asked.variant("metric", 0), typed).slip == "unit ignored"
    assert mark_numbers(asked, asked.variant("metric", 0), "5 kg").kind in ("other quantity", "unread")


@pytest.mark.parametrize("typed", ["1", "5", "40"])
def test_a_whole_number_is_not_given_away(typed):
    asked = question("4.4")
    verdict = mark_numbers(asked, asked.variant("metric", 0), typed)
    assert not verdict.right and not any(one.isdigit() for one in verdict.sentence)


SLIPS = {
    # hand: 4 + 0.5 + 0.75 h; + 20/150 h; + 620/240 h; 6 h less 0.4 of 45 min
    "4.1": {
        "holds forgotten": "5.25 h",
        "start counted as zero": "6.133333 h",
        "second change counted from zero": "8.583333 h",
        "minutes for hundredths of an hour": "5.7 h",
    },
    # hand: 270 + 32; 150 / 1.8; 150
    "4.2": {"32 added": "302", "factor turned round": "83.33333", "unit ignored": "150"},
    # hand: 2 x 80; 8 x 80; 80 min
    "4.3": {"thickness not squared": "160 min", "thickness cubed": "640 min", "same time": "80 min"},
    # hand: the hot segments are 2 and 3, the slowest is 4; half the rate for twice the thickness (200) would
    # first be broken by segment 6 as well, so it is no slip with these numbers
    "4.4": {"hot glass counted": "2", "fastest of all": "3", "the slowest": "4"},
    # hand: 4 x 12; 2 x 12 x 2 x (1 - 2.5/40); 2 x 3 x 12; 2 x 16 x 12 min
    "4.5": {
        "as long again forgotten": "48 min",
        "falls in a straight line": "45 min",
        "one halving too few": "72 min",
        "divided instead of halved": "384 min",
    },
    # hand: 60 x 24^2/3400; twice 2.541; 60 x 6^2/3400
    "4.6": {
        "thickness for half of it": "10.16471 °C",
        "two forgotten": "5.082353 °C",
        "halved twice": "0.6352941 °C",
    },
    # hand: 2.2 x 8 x 0.5; 2.2 x 5; 2.2 x 5 x 2
    "4b.1": {"whole thickness": "8.8 °C", "rate left out": "11 °C", "rate turned round": "22 °C"},
    # hand: 9 x 0.8 = 7.2; 7.2 x 0.3; 7.2 / 0.7
    "4b.2": {
        "share forgotten": "7.2 MPa",
        "the other part's pull": "2.16 MPa",
        "share divided": "10.28571 MPa",
    },
    # hand: 4 x 2 x 13; 2.3 x 13; 4 x 2.3 / 13; 4 x 2.3
    "4b.3": {
        "nominal for measured": "104 mm",
        "one layer": "29.9 mm",
        "divided instead of multiplied": "0.7076923 mm",
        "height of the former": "9.2 mm",
    },
    # hand: 2 x 20 x 420/43200; 1 - 220 x 160/43200; 200 x 140/43200
    "4b.4": {
        "corners counted twice": "0.3888889",
        "one strip each way": "0.1851852",
        "the bare middle": "0.6481481",
    },
}


@pytest.mark.parametrize("key", SLIPS)
def test_each_slip_gives_what_a_class_would_get_with_the_printed_numbers(key):
    asked = question(key)
    slips = asked.slips(asked.variant("metric", 0))
    assert set(slips) == set(SLIPS[key])
    for name, by_hand in SLIPS[key].items():
        assert slips[name].value == pytest.approx(read(by_hand, asked.dimension), rel=1e-6), name


def test_a_slip_of_the_first_unsafe_segment():
    asked = question("4.4")
    numbers = asked.numbers("metric", {**asked.variant("metric", 0).texts, "heat": "130 °C/h"})
    # hand: 400 / 2 = 200 degC/h by the wrong rule: the first above it is segment 6 with 250, not 1 with 130
    assert asked.slips(numbers)["thickness not squared"].value == 6


WORKINGS = {
    ("4.1", "inches"): [
        "First change: from 70 °F to 1150 °F, 1080 °F / (270 °F/h) = 4 h.",
        "Second change: from 1150 °F to 1350 °F, 200 °F / (400 °F/h) = 30 min.",
        "Last change: from 1350 °F to 960 °F, 390 °F / (500 °F/h) = 47 min.",  # hand: 0.78 h = 46.8 min
        "Add the holds: 30 min and 15 min.",
        "Answer: 6 h 2 min.",
    ],
    ("4.2", "metric"): [
        "A change of 1 °C is a change of 1.8 °F, wherever on the scale it happens: no 32.",
        "The number to type: 150 × 1.8.",
        "Answer: 270.",
    ],
    ("4.3", "inches"): [
        "Thickness: 1/2 in / 1/4 in = 2 times.",
        "The lag grows with rate × thickness². To keep it, the rate falls 4 times.",
        "Time: 1 h 20 min × 4.",
        "Answer: 5 h 20 min.",
    ],
    ("4.4", "inches"): [
        "Your piece is 2 times as thick: 720 °F/h / 4 = 180 °F/h for it.",
        "Segments 2 and 3 are hotter than the strain point all the way: any rate is safe there.",
        "Of 1, 4, 5 and 6, the first with more than 180 °F/h is segment 6, with 450 °F/h.",
        "Answer: 6.",
    ],
    ("4.5", "inches"): [
        "Halve: 80 °F, 40 °F, 20 °F, 10 °F, 5 °F. That is 4 times.",
        "Even after 4 × 12 min = 48 min.",
        "As long again: 2 × 48 min, which is not less than 30 min.",
        "Answer: 1 h 36 min.",
    ],
    ("4.6", "metric"): [
        "L = 24 mm / 2 = 12 mm; L² = 144 mm².",
        "Lag: 60 °C/h × 144 mm² / (2 × 1700 mm² an hour).",
        "Answer: 2.54 °C.",
    ],
    ("4b.1", "inches"): [
        "Thicker by 3/8 in - 1/8 in = 1/4 in.",
        "At 180 °F/h: 2 × 13 °F.",
        "At your rate: times 90 °F/h / (180 °F/h).",
        "Answer: 13 °F.",
    ],
    ("4b.2", "inches"): [
        "If the thin part did not give way: 16 × 65 psi = 1040 psi.",
        "The thin part holds with its share of the glass: 100 % - 30 % = 70 %.",
        "Pull on the thick part: 1040 psi × 70 %.",
        "Answer: 728 psi.",
    ],
    ("4b.3", "inches"): [
        "The former: 4 × 0.075 in = 0.3 in.",
        "Glass that insulates alike: 13 × 0.3 in.",
        "Answer: 3.9 in.",
    ],
    ("4b.4", "metric"): [
        "Bare: 240 mm - 2 × 20 mm = 200 mm, and in the same way 140 mm.",
        "Bare share: 200 mm × 140 mm / (240 mm × 180 mm) = 0.648.",
        "Frame: 1 - 0.648.",
        "Answer: 35.2 %.",
    ],
}


@pytest.mark.parametrize(("key", "units"), WORKINGS)
def test_a_whole_working_by_hand(key, units):
    asked = question(key)
    assert list(asked.worked(asked.variant(units, 0)).steps) == WORKINGS[key, units]


# ------------------------------------------------------------------ what the pictures say, at other states


def digits(number):
    """Three significant figures, as captions have them; whole numbers are not cut."""
    return f"{number:.0f}" if number >= 100 else f"{number:.3g}"


def both(metric, times, units, more=0.0):
    """A number in words in one of the two systems; hand: the factor of the other unit."""
    symbol, factor, shift = (units[0], 1.0, 0.0) if times == "metric" else (*units[1:], more)
    return f"{digits(metric * factor + shift)} {symbol}"


def stress(value, system):
    return both(value / 1e6, system, ("MPa", "psi", 145.0377))  # hand: 1 MPa = 1e6/6894.757 psi


def difference(value, system):
    return both(value, system, ("°C", "°F", 1.8))  # hand: no 32 in a difference


def temperature(value, system):
    return both(round(value), system, ("°C", "°F", 1.8), 32.0)


def rate(value, system):
    return both(value, system, ("°C/h", "°F/h", 1.8))


def sure(caption, system):
    """The caption without what is said to be likely; each of those spans must hold the number before it."""
    symbol = "MPa" if system == "metric" else "psi"
    spans = re.findall(rf"([\d.]+) {symbol}[^(;,.]* \(likely ([\d.]+) to ([\d.]+) {symbol}\)", caption)
    assert len(spans) == caption.count("(likely ") > 0
    for number, low, high in spans:
        assert float(low) <= float(number) <= float(high)  # exact: rounded outwards
    return re.sub(r" \(likely [^)]*\)", "", caption)


def on_shelf(schedule, zones, kiln=None, **piece):
    return fire(Schedule.from_text(schedule), Piece(GLASS, zones, **piece), kiln or Kiln())


def peak(firing):
    """Largest tension of glass colder than its strain point, while heated, from the plain arrays."""
    return np.where(firing.temperature < GLASS.strain_point, firing.stress, 0.0).max()


def mean_behind(firing, zone):
    temperature = firing.temperature[:, zone]
    return firing.air - (temperature[:, :-1] + temperature[:, 1:]).mean(axis=1) / 2


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_cooled_slab_of_half_an_inch_in_words(system):
    values = {"thickness": 0.0127, "rate": 100.0, "direction": lesson4.COOLING}
    caption = sure(lesson4.one_slab.picture(system, **values)["caption"], system)
    slab = on_shelf("start at 250 C; 100 C/h to 20 C", (Zone(0.0127, 1.0),), support="open")
    row = slab.stress.max(axis=(1, 2)).argmax()
    lag = np.ptp(slab.temperature[row])
    # exact: Adams & Williamson, E alpha/(1 - nu) times two thirds of the lag at the faces
    pull = 2 / 3 * GLASS.youngs_modulus * GLASS.expansion / (1 - GLASS.poissons_ratio) * lag
    assert slab.stress[row].max() == pytest.approx(pull, rel=0.02)
    each = slab.stress[row].max() / lag / (1 if system == "metric" else 1.8)
    symbol = "°C" if system == "metric" else "°F"
    assert caption == (
        f"The middle is {difference(lag, system)} hotter than the faces, so the faces are pulled: "
        f"{stress(slab.stress[row].max(), system)} of tension in the faces, {stress(each, system)} for each "
        f"{symbol}. The limit of {stress(3.5e6, system)} is reached at over {rate(1000, system)}."
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_heated_slab_in_words(system):
    caption = lesson4.one_slab.picture(system, thickness=0.025, rate=300.0)["caption"]
    assert "colder than the faces, so the faces are pressed" in caption
    assert "of tension in the middle" in caption
    # own prototype: the rate at which a slab of 25 mm is pulled with 3.5 MPa
    at = read(caption.rsplit("reached at ", 1)[1].rstrip("."), "rate")
    limit = on_shelf(f"{at} C/h to 350 C", (Zone(0.025, 1.0),), support="open")
    assert peak(limit) == pytest.approx(3.5e6, rel=0.01)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_published_depth_stands_beside_ours_on_the_curve(system):
    picture = lesson4.neutral_depth.picture(system)
    pane = picture["panes"][0]
    published, computed = (marks(pane, symbol) for symbol in ("diamond-open", "circle"))
    assert list(published["y"]) == [0.211]  # published: Adams & Williamson 1920
    assert computed["y"][0] == pytest.approx(0.2113, abs=0.002)  # exact: (1 - 1/sqrt 3)/2
    curve = trace(pane, "computed")
    assert np.interp(0.0, curve["x"], curve["y"]) == pytest.approx(computed["y"][0], abs=1e-6)
    assert picture["caption"].startswith(
        "The stress changes from pressed to pulled at 21.1 % of the thickness below the face; published 21.1"
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_whole_firing_in_words(system):
    values = {"thickness": 0.025, "heating": 100.0, "soak": 1800.0, "cooling": 150.0}
    picture = lesson4.whole_firing.picture(system, **values)
    firing = on_shelf(
        "100 C/h to 620 C, 20 min; 300 C/h to 820 C, 10 min; as fast as the kiln does to "
        f"{GLASS.annealing_point} C, 30 min; 150 C/h to {GLASS.strain_point - 100} C; "
        "as fast as the kiln does to 40 C",
        (Zone(0.025, 1.0),),
        SMALL_BRICK_KILN,
    )
    cold = np.where(firing.temperature < GLASS.strain_point, firing.stress, 0.0).max(axis=(1, 2))
    mean = firing.air - mean_behind(firing, 0)
    # exact: an uneven kiln adds E alpha u |T_air - T_mean|/2, u = 0.1, in glass below its strain point
    uneven = 0.05 * GLASS.youngs_modulus * GLASS.expansion * abs(firing.air - mean)
    total = np.maximum(cold, 0) + np.where(mean < GLASS.strain_point, uneven, 0)
    row = total.argmax()
    hours, minutes = divmod(round(firing.time[row] / 60), 60)
    all_hours, all_minutes = divmod(round(firing.time[-1] / 60), 60)
    phase = "heating" if firing.time[row] < 6.2 * 3600 else "cooling"  # hand: 600/100 + 20/60 h and more
    assert sure(picture["caption"], system) == (
        f"Pulled most while {phase}, {hours} h {minutes} min in, at {temperature(firing.air[row], system)}: "
        f"{stress(total[row], system)} against a limit of {stress(3.5e6, system)}; "
        f"{100 * cold[row] / total[row]:.0f} % of it comes from the thickness, the rest from an uneven kiln. "
        f"{stress(firing.residual.max(), system)} stays in the cold piece, where {stress(0.5e6, system)} is "
        f"allowed. In all {all_hours} h {all_minutes} min."
    )
    pane = picture["panes"][0]
    assert marks(pane, "circle")["x"][0] == pytest.approx(firing.time[-1] / 3600, rel=1e-9)
    assert marks(pane, "x")["y"][0] >= max(trace(pane, "uneven kiln added")["y"])


def test_a_hold_too_short_says_so():
    readings = lesson4.whole_firing.picture(thickness=0.05, soak=600.0)["readings"]
    assert any(one["value"] == "too short" for one in readings)


def minutes(seconds, step=60):
    hours, rest = divmod(round(seconds / step) * step // 60, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_piece_of_ones_own_in_words(system):
    values = {
        "process": "slump",
        "thickness": 0.009,
        "relief": "wide parts",
        "height": 0.002,
        "share": 0.4,
        "shelf": "shelf flat on the kiln floor",
        "kiln": "6 hours: a heavy brick kiln",
        "margin": "quick: twice as much",
        "controller": "°F",
    }
    picture = lesson4.your_piece.picture(system, **values)
    piece = Piece(GLASS, (Zone(0.009, 0.6), Zone(0.011, 0.4)))
    kiln = Kiln(cooling_time=6 * 3600.0, underside=0.0)
    says = []
    schedules = [
        write_schedule(model, "slump", kiln, allowed_residual=1e6, controller="degF")  # hand: 2/7 of 3.5 MPa
        for model in (piece, Piece(GLASS, (Zone(0.022, 1.0),)))
    ]
    for schedule in schedules:
        firing = fire(schedule, piece, kiln)
        total = max(firing.peak_with_unevenness(phase) for phase in ("heating", "cooling"))
        says.append((minutes(firing.time[-1]), stress(total, system), stress(firing.residual.max(), system)))
    (hours, most, stays), (rule_hours, rule_most, rule_stays) = says
    assert sure(picture["caption"], system) == (
        f"The schedule takes {hours}. It pulls with up to {most} of {stress(3.5e6, system)}, and {stays} of "
        f"{stress(1e6, system)} stays. As if twice as thick it would take {rule_hours}, pull with "
        f"{rule_most} and leave {rule_stays}."
    )
    table = picture["table"]
    assert table["head"] == ["", "rate", "to", "hold", "why"]
    first, *rows = table["rows"]
    assert first[0] == "all" and first[-1].startswith(f"{hours} from cold to cold")
    assert len(rows) == len(schedules[0].segments)
    for row, segment in zip(rows, schedules[0].segments, strict=True):
        assert row[2] == f"{segment.target * 1.8 + 32:.4g} °F"  # exact: the controller's unit, not the page's
        assert row[1] in ("full speed", "off") or row[1] == f"{segment.rate * 1.8:.4g} °F/h"
        assert row[4] == segment.reason
    assert table["rows"][-1][1:3] == ["off", "104 °F"]  # hand: 40 degC


def test_inch_users_get_a_controller_in_fahrenheit():
    rows = {system: lesson4.your_piece.picture(system)["table"]["rows"][1:] for system in SYSTEMS}
    assert all(row[2].endswith("°C") for row in rows["metric"])
    assert all(row[2].endswith("°F") for row in rows["inches"])
    box = show_panel(lesson4.your_piece, "metric")
    (switch,) = (one for one in box.children[0].children if hasattr(one, "options"))
    dropdowns = [
        row for row in box.children[1].children if getattr(row, "description", "").startswith("the contr")
    ]
    assert dropdowns[0].value == "°C"
    switch.value = "inches"
    assert dropdowns[0].value == "°F"
    dropdowns[0].value = "°C"
    switch.value = "metric"
    switch.value = "inches"
    assert dropdowns[0].value == "°C"  # somebody has chosen: it stays


def test_the_glass_decides_how_hot_it_is_fired():
    targets = {}
    for name in lesson4.GLASSES:
        rows = lesson4.your_piece.picture("metric", glass=name, process="full fuse")["table"]["rows"]
        hottest = max(float(row[2].split()[0]) for row in rows[1:])
        viscosity = materials.glass(name).log10_viscosity(hottest)
        assert 4.7 <= viscosity <= 4.8  # own prototype: full fuse
        targets[name] = hottest
    assert targets["float"] > targets["kiln glass A"] + 20


def test_a_loose_stack_that_is_too_high_is_refused_in_words():
    with pytest.raises(ValueError, match="15 loose sheets"):
        lesson4.your_piece.picture(thickness=0.045, firing=lesson4.LOOSE)


@pytest.mark.parametrize("system", SYSTEMS)
def test_hours_against_what_stays_in_words(system):
    values = {"thickness": 0.006, "relief": "wide parts", "height": 0.003, "share": 0.5}
    caption = lesson4.hours_against_stress.picture(system, **values)["caption"]
    piece = Piece(GLASS, (Zone(0.006, 0.5), Zone(0.009, 0.5)))
    hours = [time.rstrip(".") for time in re.findall(r"(?:takes|\): ) ?([0-9hmin ]+?)(?=[.;])", caption)]
    # hand: 0.5 MPa; 10/27, 20/27 and 56.2/27 MPa
    for said, stays in zip(hours, (0.5e6, 10 / 27 * 1e6, 20 / 27 * 1e6, 2.08e6), strict=True):
        down = read(said, "time") / 3600
        rate_ = (GLASS.annealing_point - GLASS.strain_point + 100) / down
        firing = on_shelf(
            f"start at {GLASS.annealing_point} C; {rate_:.3f} C/h to {GLASS.strain_point - 100} C; "
            "as fast as the kiln does to 40 C",
            piece.body,
            SMALL_BRICK_KILN,
        )
        # own prototype: 5 % for times said in tens of minutes and lines between nine rates
        assert firing.residual.max() == pytest.approx(stays, rel=0.05)
    for amount in (0.5e6, 10 / 27 * 1e6, 20 / 27 * 1e6):
        assert stress(amount, system) in caption
    assert sure(caption, system).startswith(f"To leave no more than the {stress(0.5e6, system)} this kit")


@pytest.mark.parametrize("system", SYSTEMS)
def test_five_pieces_as_if_twice_as_thick_in_words(system):
    picture = lesson4.five_pieces.picture(system)
    caption = picture["caption"]
    assert caption.count("(likely ") == 10
    says = []
    for thickness in (0.036, 0.018):  # hand: twice six sheets of 3 mm, and six sheets
        model = Piece(GLASS, (Zone(thickness, 1.0),))
        schedule = write_schedule(model, "tack fuse", SMALL_BRICK_KILN)
        firing = fire(schedule, lesson4.PIECES["even, six sheets"], SMALL_BRICK_KILN)
        total = (firing.tension + firing.uneven_tension).max()
        says += [f"{firing.time[-1] / 3600:.0f}", stress(total, system)]
    assert (f"even, six sheets: {says[0]} against {says[2]} hours, {says[1]} against {says[3]};") in sure(
        caption, system
    )
    for pane in picture["panes"][1:]:
        bands = [one for one in pane["data"] if one.get("name") == "likely"]
        points = np.concatenate([one["x"] for one in pane["data"] if one.get("mode") == "markers"])
        assert len(bands) == 10
        for point in points:  # exact: every value is inside a band
            assert any(min(band["x"]) <= point <= max(band["x"]) for band in bands)
        for place, row in enumerate(
            range(len(lesson4.PIECES), 0, -1)
        ):  # the rule's above its row, ours below
            rule, ours = bands[2 * place : 2 * place + 2]
            assert row < min(rule["y"]) and max(rule["y"]) < row + 0.5
            assert row - 0.5 < min(ours["y"]) and max(ours["y"]) < row
        for band in bands:  # nothing is cut off
            assert max(band["x"]) <= pane["layout"]["xaxis"]["range"][1]


@pytest.mark.parametrize("system", SYSTEMS)
def test_both_schedules_of_a_piece_are_judged_by_one_limit(system):
    picture = lesson4.five_pieces.picture(system)
    for pane, limit in zip(picture["panes"][1:], (3.5, 0.5), strict=True):
        at = limit if system == "metric" else limit * 145.0377
        (dotted,) = (one for one in pane["data"] if one.get("line", {}).get("dash") == "dot")
        assert dotted["x"] == pytest.approx([at, at], rel=1e-6)
        assert max(marks(pane, "circle")["x"]) <= at  # exact: ours keeps both limits
    hours, pulled, _ = picture["panes"]
    rule = marks(pulled, "diamond-open")["x"]
    assert rule[-1] > 2 * 3.5 * (
        1 if system == "metric" else 145
    )  # own prototype: wide parts fail by the rule
    assert marks(hours, "diamond-open")["x"][1] > 2 * marks(hours, "circle")["x"][1]  # own prototype: dear
    for name in lesson4.PIECES:
        assert name.lower() in picture["caption"].lower()


def test_the_broken_pieces_are_marked_where_their_cracks_begin():
    picture = lesson4.it_broke.picture()
    heating, cooling, border, inlay = (marks(pane, "x") for pane in picture["panes"])
    assert (cooling["x"][0], cooling["y"][0]) == (0.98, 0.84)  # hand: on the rim, where the curve starts
    # the crack along a thicker part starts where its border (0.60 in both views) meets the rim (0.72)
    assert abs(border["x"][0] - 0.60) < 0.02 and border["y"][0] == 0.72
    outlines = [one for one in picture["panes"][2]["data"] if one.get("fill") == "toself"]
    edges = [min(outlines[1]["x"]), sorted(set(outlines[2]["x"]))[1]]
    assert edges == [0.60, 0.60]  # the thicker part is as wide from above as in section
    assert np.hypot(inlay["x"][0] - 0.52, inlay["y"][0] - 1.03) == pytest.approx(0.16, rel=1e-9)
    assert (heating["x"][0], heating["y"][0]) == (0.5, 1.03)


@pytest.mark.parametrize("system", SYSTEMS)
def test_two_thicknesses_in_words(system):
    values = {"rate": 50.0, "thin": 0.006, "extra": 0.004, "share": 0.2}
    picture = lesson4b.two_thicknesses.picture(system, **values)
    zones = (Zone(0.006, 0.8), Zone(0.010, 0.2))
    up = "50 C/h to 340 C"
    solid = on_shelf(up, zones)
    on_base = on_shelf(up, zones, loose=True)
    heap = on_shelf(
        up,
        (
            Zone(0.006, 0.8, layers=(Layer(0.006, "a"),)),
            Zone(0.010, 0.2, layers=(Layer(0.006, "b"), Layer(0.004, "c"))),
        ),
        loose=True,
    )
    down = on_shelf(f"start at {GLASS.annealing_point} C; 50 C/h to 20 C", zones)
    apart = (mean_behind(solid, 1) - mean_behind(solid, 0)).max()
    assert apart == pytest.approx(
        2.4 * 4 * 0.5, rel=0.15
    )  # own prototype: 2.2 to 2.5 degC a mm at 100 degC/h
    base_pull, heap_pull = (stress(one.tension.max(), system) for one in (on_base, heap))
    assert sure(picture["caption"], system) == (
        f"Heated, thick and thin part by up to {difference(apart, system)}. That pulls one solid piece with "
        f"{stress(peak(solid), system)}, a base sheet with loose glass on a part of it with {base_pull}, the "
        f"sheets of a heap with {heap_pull}; the limit is {stress(3.5e6, system)}. Cooled from the annealing "
        f"point at the same rate, the solid piece keeps {stress(down.residual.max(), system)} in its thick "
        f"part; {stress(0.5e6, system)} may stay."
    )
    cooling = picture["panes"][2]
    assert marks(cooling, "circle")["y"][0] == pytest.approx(
        down.residual.max() / (1e6 if system == "metric" else 6894.757), rel=1e-6
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_cross_stands_on_the_piece_that_is_pulled_most(system):
    picture = lesson4b.two_thicknesses.picture(system, thin=0.003, extra=0.006, share=0.6)
    pane = picture["panes"][1]
    tops = {name: max(trace(pane, name)["y"]) for name in ("one solid piece", "loose, on one base sheet")}
    assert tops["loose, on one base sheet"] > tops["one solid piece"]
    assert marks(pane, "x")["y"][0] == pytest.approx(tops["loose, on one base sheet"], rel=1e-9)


@pytest.mark.parametrize("system", SYSTEMS)
def test_held_flat_on_the_floor_in_words(system):
    values = {"thickness": 0.009, "rate": 100.0, "shelf": lesson4b.ON_THE_FLOOR}
    caption = sure(lesson4b.held_flat.picture(system, **values)["caption"], system)
    free, flat = (
        on_shelf("100 C/h to 340 C", (Zone(0.009, 1.0),), Kiln(underside=0.0), bending=bending)
        for bending in ("free", "flat")
    )
    row = flat.stress.max(axis=(1, 2)).argmax()
    between = flat.temperature[row, 0, -1] - flat.temperature[row, 0, 0]
    span = 0.3 if system == "metric" else 12 * 0.0254
    # exact: kappa s^2/8 with kappa = alpha dT/d; 3 % because the temperatures are not quite a parabola
    bow = GLASS.expansion * between / 0.009 * span**2 / 8 / (1e-3 if system == "metric" else 0.0254)
    start, _, end = caption.rpartition(" would bow by ")
    assert float(end.split()[0]) == pytest.approx(bow, rel=0.03)
    assert end.split()[1] == ("mm." if system == "metric" else "in.")
    assert start == (
        f"The top face is {difference(between, system)} hotter than the underside. Free to bow, the glass is "
        f"pulled with {stress(peak(free), system)}; held flat, with {stress(peak(flat), system)}, "
        f"{peak(flat) / peak(free):.2g} times as much; the limit is {stress(3.5e6, system)}. Free, a piece "
        f"of {'300 mm' if system == 'metric' else '12 in'}"
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_former_in_words(system):
    values = {"rate": 60.0, "base": 0.0045, "paper": 0.0046, "width": 0.030}
    caption = sure(lesson4b.former.picture(system, **values)["caption"], system)
    bare = Zone(0.0045, 0.8)  # hand: 30 of 150 mm are covered
    under = Zone(0.0045, 0.2, feature_width=0.030, above="paper", paper=0.0046)
    covered = on_shelf("60 C/h to 340 C", (bare, under))
    rib = on_shelf("60 C/h to 340 C", (bare, Zone(0.009, 0.2, feature_width=0.030)))
    apart = (mean_behind(covered, 1) - mean_behind(covered, 0)).max()
    assert caption == (
        f"Under the former the base falls up to {difference(apart, system)} behind the bare glass beside it, "
        f"and is pulled with {stress(peak(covered), system)}; the limit is {stress(3.5e6, system)}. A rib of "
        f"the same width and as high as the base is thick would pull with {stress(peak(rib), system)}."
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_rib_in_words(system):
    values = {"rate": 60.0, "base": 0.0127 / 4, "height": 0.0127 / 2, "width": 0.0127}
    caption = sure(lesson4b.rib.picture(system, **values)["caption"], system)
    narrow, wide = (
        on_shelf("60 C/h to 340 C", (Zone(0.003175, 0.9), Zone(0.009525, 0.1, feature_width=width)))
        for width in (0.0127, None)
    )
    width, height = ("12.7 mm", "6.35 mm") if system == "metric" else ("1/2 in", "1/4 in")  # hand: 25.4 mm/in
    assert caption == (
        f"A rib {width} wide and {height} high pulls with {stress(peak(narrow), system)}, "
        f"{100 * peak(narrow) / peak(wide):.0f} % of the {stress(peak(wide), system)} of a wide part as "
        f"thick; the limit is {stress(3.5e6, system)}."
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_exchange_in_words(system):
    picture = lesson4b.exchange.picture(system)
    # hand: sigma (505.15^4 - 296.15^4)/209 = 15.6; 7.0 + 15.6 = 22.6; 5 + 0.9 x 15.6 = 19.0; 19.0/22.6 = 0.84
    face, room = ("232 °C", "23 °C") if system == "metric" else ("450 °F", "73.4 °F")  # hand: x 1.8 + 32
    assert picture["caption"] == (
        f"A face at {face} in a room at {room}: published 7.0 W for each m² and °C go into the air, and 15.6 "
        "more by the law of radiation (our sum): together 22.6. Computed 19.0, -16 %. The hotter the face, "
        "the faster glass follows."
    )
    (published,) = marks(picture["panes"][0], "diamond-open")["y"]
    assert published == pytest.approx(22.6, abs=0.05)


@pytest.mark.parametrize(
    ("panel", "state", "words", "dimension"),
    [
        (lesson4.one_slab, {"thickness": 0.012, "rate": 200.0}, "The middle is ", "temperature_difference"),
        (lesson4b.two_thicknesses, {"rate": 60.0, "extra": 0.002}, "one solid piece with ", "pressure"),
    ],
)
def test_the_number_guessed_is_the_one_the_caption_says(panel, state, words, dimension):
    start = {control.name: control.start("metric") for control in panel.controls}
    result = panel.result(**{**start, **state})
    said = panel.draw(result, Show("metric"))["caption"].split(words)[1]
    first = " ".join(said.replace(",", " ").split()[:2])
    assert panel.guess.answer(result) == pytest.approx(read(first, dimension), rel=5e-3)
    for system in SYSTEMS:
        rail = panel.guess.inches if system == "inches" else panel.guess.metric
        assert rail.low <= rail.value <= rail.high


def trace(pane, name):
    return next(one for one in pane["data"] if one.get("name") == name)


def marks(pane, symbol):
    return next(one for one in pane["data"] if one.get("marker", {}).get("symbol") == symbol)
