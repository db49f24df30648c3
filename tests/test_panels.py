"""Every panel, in both unit systems and at both ends of every control; the live widget behind them."""

import base64
import importlib
import inspect
import json
import pkgutil
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest

from kilncalc import compatibility, filling, forming, holes, layers, pair, panels, volume
from kilncalc.exercises import exercise
from kilncalc.figures import style
from kilncalc.panels import Choice, Fixed, Guess, Lines, Panel, Rail, Slider, as_json, show
from kilncalc.quantities import SYSTEMS, Show, display_unit, to_unit


def every_panel() -> Iterator[tuple[str, Panel]]:
    for module in pkgutil.iter_modules(panels.__path__):
        if not module.name.startswith("_"):
            content = vars(importlib.import_module(f"kilncalc.panels.{module.name}"))
            for name, found in content.items():
                if isinstance(found, Panel):
                    yield f"{module.name}.{name}", found


PANELS = dict(every_panel())


def numbers_in(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for inner in value.values():
            yield from numbers_in(inner)
    elif isinstance(value, list | tuple | np.ndarray):
        array = np.asarray(value)
        if array.dtype.kind == "f":
            yield from array.ravel()
        elif array.dtype.kind == "O":
            for inner in array.ravel():
                yield from numbers_in(inner)
    elif isinstance(value, float):
        yield value


def names_in(value: object, within: str = "") -> set[str]:
    """Return the path of every property: a misspelt one that plotly.py forgives is lost on the browser."""
    if isinstance(value, dict) and "bdata" not in value:
        inner = (names_in(part, f"{within}.{name}") for name, part in value.items() if part is not None)
        return {within}.union(*inner)
    if isinstance(value, list):
        return {within}.union(*(names_in(part, within) for part in value))
    return {within}


def fonts_in(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in ("font", "tickfont", "textfont") and isinstance(inner, dict) and "size" in inner:
                yield inner["size"]
            yield from fonts_in(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from fonts_in(inner)


def ends_of(panel: Panel, units: str) -> dict[str, list[Any]]:
    return {
        c.name: list(c.options) if isinstance(c, Choice) else [c.si(end, units) for end in c.rail(units)[2:4]]
        for c in panel.controls
        if not isinstance(c, Lines)
    }


def together(panel: Panel, units: str) -> Iterator[dict[str, Any]]:
    """Yield the panel as it opens, and all sliders at each end."""
    yield {}
    ends = ends_of(panel, units)
    sliders = [c.name for c in panel.controls if isinstance(c, Slider)]
    for end in (0, 1):
        yield {name: ends[name][end] for name in sliders}


def alone(panel: Panel) -> Iterator[dict[str, Any]]:
    """Yield each control alone at each end."""
    for name, values in ends_of(panel, "metric").items():
        yield from ({name: value} for value in values)


def crosswise(panel: Panel) -> Iterator[dict[str, Any]]:
    """Yield every second control at its other end than the rest, both ways round, and each of the choices."""
    ends = ends_of(panel, "metric")
    for turn in range(max(map(len, ends.values()), default=0)):
        yield {
            name: values[(turn + place) % len(values)] for place, (name, values) in enumerate(ends.items())
        }


LONG = [name for name, panel in PANELS.items() if panel.waits]
"""They fire a map or look for a schedule at each state."""


@pytest.mark.parametrize("name", [name for name in PANELS if name not in LONG])
def test_draws_at_both_ends_of_every_control_in_both_unit_systems(name: str) -> None:
    draws(PANELS[name], "metric", [*together(PANELS[name], "metric"), *alone(PANELS[name])])
    draws(PANELS[name], "inches", together(PANELS[name], "inches"))
    draws_or_says_why_not(PANELS[name])


@pytest.mark.slow
@pytest.mark.parametrize("name", LONG)
def test_what_takes_long_is_drawn_at_both_ends_too(name: str) -> None:
    draws(PANELS[name], "metric", together(PANELS[name], "metric"))
    draws(PANELS[name], "inches", together(PANELS[name], "inches"))
    draws_or_says_why_not(PANELS[name])


def draws_or_says_why_not(panel: Panel) -> None:
    """What the controls allow and the glass does not is refused in words of a workshop, not of a program."""
    for state in crosswise(panel):
        try:
            draws(panel, "metric", [state])
        except ValueError as refusal:
            assert not re.search(r"\w_\w|\w\(|=|\d m\b", str(refusal)), state


def draws(panel: Panel, units: str, states: Iterable[dict[str, Any]]) -> None:
    for state in states:
        drawn = panel.picture(units, **state)
        assert set(drawn) == {"panes", "readings", "table", "caption"}
        assert drawn["caption"].endswith((".", "?", "!")), state
        words = " ".join([drawn["caption"], *(f"{one['value']} {one['says']}" for one in drawn["readings"])])
        for row in drawn["table"]["rows"] if drawn["table"] else ():
            assert len(row) == len(drawn["table"]["head"])
            words += " " + " ".join(row)
        assert not re.search(r"\b(nan|inf)\b", words), state
        for pane in drawn["panes"]:
            sent = json.loads(
                as_json({key: pane[key] for key in ("data", "layout")}), parse_constant=pytest.fail
            )
            figure = go.Figure(data=pane["data"], layout=pane["layout"])  # refuses what plotly does not know
            assert names_in(sent) <= names_in(figure.to_plotly_json()), (
                state
            )  # spelt as the browser knows them
            assert figure.layout.width is None or figure.layout.width <= style.WIDTH
            assert figure.layout.height <= 460  # fits the screen of a small laptop
            plain = figure.to_plotly_json()
            assert min(fonts_in(plain)) >= 16  # readable from the back of the room
            assert not any(np.isinf(number) for number in numbers_in(plain)), state


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", PANELS)
def test_a_slider_starts_within_its_ends_in_whole_steps_and_the_title_is_a_question(
    name: str, units: str
) -> None:
    panel = PANELS[name]
    assert panel.title.endswith("?")
    assert sum(isinstance(control, Slider) for control in panel.controls) <= 4
    for control in panel.controls:
        if isinstance(control, Choice):
            assert control.value in control.options
            continue
        if isinstance(control, Lines):
            assert control.start(units).strip()
            continue
        unit, value, low, high, step = control.rail(units)
        assert low <= value <= high, control.name
        steps = (high - low) / step
        assert steps == pytest.approx(round(steps), abs=1e-6) and steps >= 5, control.name
        own = control.dimension in ("ratio", "expansion")  # in points, as on a label
        assert own or display_unit(control.high, control.dimension, units) == unit


@dataclass(frozen=True)
class Thing:
    length: float
    kind: str


def demo(limit: float = 0.09) -> Panel:
    def result(length: float, kind: str) -> Thing:
        if length > limit:
            raise ValueError(f"length is {length:g} m; allowed is 0 to {limit:g} m")
        return Thing(length, kind)

    def draw(thing: Thing, show: Show) -> style.Figure:
        x = np.array([0.0, thing.length])
        pane = style.pane(
            [style.curve(x, x, thing.kind)],
            x=style.axis("x", 0, 1),
            y=style.axis("y", 0, 1),
            annotations=[style.label(0, 0, f"{thing.length:g}")],
        )
        says = f"{thing.kind} {show.text(thing.length, 'length')} {show.units}."
        return style.picture([pane], says, [style.reading(show.text(thing.length, "length"), "of it")])

    controls = (
        Slider("length", "length of it", "length", Rail("mm", 50, 10, 100, 10), Rail("in", 2, 0.5, 3.5, 0.5)),
        Choice("kind", "kind of it", ("sheet", "rod"), "sheet"),
    )
    return Panel("How long is it?", result, draw, controls)


def parts(box: Any) -> tuple:
    top, controls, picture, message = box.children
    slider, typed = controls.children[0].children
    return top.children[1], slider, typed, controls.children[1], picture, message


def drawn(picture: Any) -> Any:
    """Return the figure that the browser has."""
    return json.loads(picture.figure)


def xs(picture: Any) -> list[float]:
    """Return the x of the picture's first trace, unpacked as a browser does it."""
    packed = drawn(picture)["panes"][0]["data"][0]["x"]
    return list(np.frombuffer(base64.b64decode(packed["bdata"]), packed["dtype"]))


def test_a_moved_slider_draws_the_picture_anew() -> None:
    _switch, slider, typed, choice, picture, _message = parts(show(demo()))
    slider.value = 70
    assert xs(picture) == [0.0, 0.07]  # exact: what the slider was set to
    assert drawn(picture)["panes"][0]["layout"]["annotations"][0]["text"] == "0.07"
    assert typed.value == "70 mm"
    assert drawn(picture)["caption"] == "sheet 70 mm metric."
    assert drawn(picture)["readings"] == [{"value": "70 mm", "says": "of it", "colour": style.INK}]
    choice.value = "rod"
    assert drawn(picture)["panes"][0]["data"][0]["name"] == "rod"
    assert drawn(picture)["caption"] == "rod 70 mm metric."


def test_a_panel_that_waits_is_worked_out_once_when_the_reader_comes_near_or_moves_it() -> None:
    asked: list[float] = []

    def waiting() -> tuple:
        whole = demo()

        def result(length: float, kind: str) -> Any:
            asked.append(length)
            return whole.result(length, kind)

        asked.clear()
        return parts(show(replace(whole, result=result, waits=True)))

    def come_near(picture: Any) -> None:
        picture._handle_custom_msg({"kind": "seen"}, [])

    switch, _slider, _typed, _choice, picture, message = waiting()
    assert (asked, picture.figure, picture.waits, message.value) == ([], "", True, "")
    switch.value = "inches"
    assert asked == []
    for _ in range(2):  # two views of it
        come_near(picture)
    assert asked == [pytest.approx(0.0508)]  # exact: 2 in, as it starts in inches
    assert drawn(picture)["caption"] == "sheet 2 in inches." and not picture.waits
    _switch, slider, _typed, _choice, picture, message = waiting()
    slider.value = 70
    come_near(picture)
    assert asked == [0.07] and drawn(picture)["caption"] == "sheet 70 mm metric." and message.value == ""
    _switch, slider, _typed, _choice, picture, message = waiting()
    slider.value = 100
    assert "length is 100 mm; allowed is 0 mm to 90 mm" in message.value
    assert "still shows" not in message.value and picture.figure == ""


def test_a_typed_value_moves_the_slider_or_gets_a_sentence() -> None:
    _switch, slider, typed, _choice, picture, message = parts(show(demo()))
    typed.value = "1 1/2 in"
    assert xs(picture) == [0.0, 0.0381]  # exact: 25.4 mm to the inch
    assert slider.value == pytest.approx(40)  # hand: the step of 10 mm nearest to 38.1 mm
    assert message.value == ""
    for wrong in ("7", "rubbish", "3 kg", "<b>1</b> mm"):
        typed.value = wrong
        assert xs(picture) == [0.0, 0.0381]
        assert "length of it" in message.value
        assert "<b>" not in message.value
        assert typed.value == "38.1 mm"  # exact: what the picture shows
    typed.value = "6 m"
    assert "outside" in message.value and "100 mm" in message.value
    assert typed.value == "38.1 mm"
    typed.value = "20 mm"
    assert slider.value == pytest.approx(20) and message.value == ""


def test_a_mistake_of_ours_is_told_instead_of_a_picture_that_does_not_move() -> None:
    def draw(length: float, _show: Show) -> style.Figure:
        return style.picture([], f"{length:g}.") if length < 0.06 else {}["nothing"]

    slider = Slider("length", "length", "length", Rail("mm", 50, 10, 100, 10))
    panel = Panel("How long?", lambda length: length, draw, (slider,))
    _top, controls, picture, message = show(panel).children
    controls.children[0].children[0].value = 70
    assert "Something went wrong in this picture (KeyError: &#x27;nothing&#x27;)" in message.value
    assert drawn(picture)["caption"] == "0.05."
    controls.children[0].children[0].value = 30
    assert message.value == "" and drawn(picture)["caption"] == "0.03."


def test_a_value_nobody_moved_starts_anew_in_other_units_and_a_moved_one_stays() -> None:
    box = show(demo())
    switch, _slider, typed, _choice, picture, _message = parts(box)
    switch.value = "inches"
    assert typed.value == "2 in" and drawn(picture)["caption"] == "sheet 2 in inches."
    switch.value = "metric"
    assert typed.value == "50 mm"
    parts(box)[1].value = 70
    switch.value = "inches"
    assert typed.value == "2.76 in" and xs(picture) == [0.0, 0.07]  # exact: the value is as it was
    assert parts(show(demo(), "inches"))[2].value == "2 in"


def test_a_refusal_of_the_calculation_becomes_a_message_and_the_picture_stays() -> None:
    _switch, slider, _typed, _choice, picture, message = parts(show(demo()))
    slider.value = 100
    assert "length is 100 mm; allowed is 0 mm to 90 mm" in message.value
    assert xs(picture) == [0.0, 0.05]  # exact: the last that worked
    slider.value = 80
    assert message.value == ""
    assert xs(picture) == [0.0, 0.08]  # exact: what the slider was set to
    _switch, slider, _typed, _choice, _picture, message = parts(show(demo(0.06), "inches"))
    slider.value = 3.5
    assert "length is 3 1/2 in; allowed is 0 in to 2.36 in" in message.value  # hand: 60 / 25.4 = 2.36


def test_a_typed_value_that_the_calculation_refuses_gives_way_to_what_the_picture_shows() -> None:
    _switch, slider, typed, _choice, picture, message = parts(show(demo()))
    typed.value = "95 mm"
    assert "length is 95 mm; allowed is 0 mm to 90 mm" in message.value
    assert (typed.value, slider.value, xs(picture)) == ("50 mm", 50, [0.0, 0.05])


def test_two_messages_stand_one_under_the_other() -> None:
    _switch, slider, typed, _choice, _picture, message = parts(show(demo()))
    slider.value = 100
    typed.value = "rubbish"
    assert "allowed is 0 mm to 90 mm" in message.value and "rubbish" in message.value
    typed.value = "60 mm"
    assert message.value == ""


def test_what_is_fixed_is_round_in_each_system_and_nobody_moves_it() -> None:
    def draw(thing: tuple[float, float], _show: Show) -> style.Figure:
        return style.picture([], f"{thing[0]:g} of {thing[1]:g}.")

    sliders = (Slider("part", "part", "length", Rail("mm", 50, 10, 100, 10), Rail("in", 2, 1, 4, 1)),)
    panel = Panel("How much?", lambda part, whole: (part, whole), draw, sliders)
    panel = replace(panel, fixed=(Fixed("whole", 0.3, 12 * 0.0254),))
    assert panel.picture("metric")["caption"] == "0.05 of 0.3."
    assert panel.picture("inches", part=0.02)["caption"] == "0.02 of 0.3048."  # exact: 12 x 25.4 mm
    top, controls, picture, _message = show(panel).children
    assert len(controls.children) == 1
    top.children[1].value = "inches"
    assert drawn(picture)["caption"] == "0.0508 of 0.3048."
    guess = Guess("How long is the whole?", "length", lambda thing: thing[1], Rail("mm", 20, 0, 400, 5))
    asking = show(replace(panel, guess=guess), "inches")
    asked(asking)[2]["Show the answer"].click()
    assert "12 in" in asked(asking)[0].value


def guessing(limit: float = 1.0) -> Panel:
    rails = Rail("mm", 20, 0, 100, 5), Rail("in", 1, 0, 4, 0.25)
    guess = Guess("How long will it be?", "length", lambda thing: 2 * thing.length, *rails)
    return replace(demo(limit), guess=guess)


def asked(box: Any) -> tuple:
    """What a panel says of the guess, and while it asks the slider and the buttons."""
    said, *rest = box.children[2].children
    return said, rest[:-1], {button.description: button for part in rest[-1:] for button in part.children}


def again(box: Any) -> Any:
    _title, _switch, button = box.children[0].children
    assert button.description == "Guess again"
    return button


def framed(box: Any) -> bool:
    return box.children[2].layout.display != "none"


def test_a_panel_holds_its_answer_back_until_there_is_a_guess() -> None:
    box = show(guessing())
    assert not any(hasattr(part, "figure") for part in box.children)
    said, (row,), buttons = asked(box)
    slider, typed = row.children
    assert "How long will it be?" in said.value
    slider.value = 40
    assert typed.value == "40 mm"
    buttons["Show the answer"].click()
    assert any(hasattr(part, "figure") for part in box.children)
    # hand: the answer is 2 x 50 mm; 100 - 40 = 60 and 100 / 40 = 2.5
    assert all(words in said.value for words in ("40 mm", "100 mm", "60 mm too low", "2.5 times your guess"))


def test_a_guess_is_compared_in_inches_and_typed() -> None:
    box = show(guessing(), "inches")
    said, (row,), buttons = asked(box)
    row.children[1].value = "rubbish"
    assert "rubbish" in box.children[-1].value and row.children[1].value == "1 in"
    row.children[1].value = "4 in"
    assert box.children[-1].value == ""
    buttons["Show the answer"].click()
    assert "Your guess is the answer." in said.value  # exact: 2 x 2 in, the start of the slider
    again(box).click()
    row.children[1].value = "3 in"
    asked(box)[2]["Show the answer"].click()
    assert "1 in too low" in said.value and "1.3 times" in said.value  # hand: 4 - 3, 4 / 3


def test_a_guess_may_be_skipped_and_made_again_and_is_kept_nowhere(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    box = show(guessing())
    assert framed(box) and len(box.children[0].children) == 2
    asked(box)[2]["Skip the guess"].click()
    assert any(hasattr(part, "figure") for part in box.children)
    assert asked(box)[0].value == "" and not framed(box)  # nothing is left of it but a button at the top
    again(box).click()
    assert not any(hasattr(part, "figure") for part in box.children)
    assert framed(box) and len(box.children[0].children) == 2
    asked(box)[2]["Show the answer"].click()
    assert framed(box) and "80 mm too low" in asked(box)[0].value  # hand: 100 - 20
    box.children[1].children[0].children[0].value = 60
    # The sliders have moved: that was another question.
    assert "too low" not in asked(box)[0].value and not framed(box)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", [name for name, panel in PANELS.items() if panel.guess])
@pytest.mark.parametrize("units", SYSTEMS)
def test_the_answer_to_every_guess_lies_on_its_rail(name: str, units: str) -> None:
    panel = PANELS[name]
    rail = panel.guess.inches if panel.guess.inches and units == "inches" else panel.guess.metric
    answer = to_unit(panel.guess.answer(panel.at(units)), panel.guess.dimension, rail.unit)
    assert rail.low < answer < rail.high
    assert abs(answer - rail.value) > rail.step, "the mark starts at the answer"


def test_a_slider_counts_in_round_steps_of_the_unit_shown() -> None:
    box = show(demo(limit=1))
    switch, slider, typed, _choice, picture, message = parts(box)
    assert (slider.min, slider.max, slider.step) == (10, 100, 10)
    switch.value = "inches"
    slider = parts(box)[1]
    assert (slider.min, slider.max, slider.step, slider.value) == (0.5, 3.5, 0.5, 2)
    slider.value = 2.5
    assert typed.value == "2 1/2 in"
    assert xs(picture) == [0.0, 2.5 * 0.0254]  # exact: 25.4 mm to the inch
    typed.value = "100 mm"  # beyond the last step in inches, and allowed where millimetres are counted
    assert xs(picture) == [0.0, 0.1] and message.value == ""
    assert slider.value == 3.5
    switch.value = "metric"
    assert typed.value == "100 mm" and parts(box)[1].value == pytest.approx(100)


def test_the_figure_goes_to_the_browser_without_plotlys_code_which_comes_when_asked_for() -> None:
    picture = parts(show(demo()))[4]
    state = picture.get_state()
    assert len(json.loads(state["figure"])["panes"]) == 1
    assert len(state["_esm"]) < 20_000  # our own words alone: plotly's code has 4.5 million letters
    sent = []
    picture.send = lambda content, buffers=None: sent.append((content, buffers))
    picture._answer(picture, {"kind": "plotly"}, [])
    (content, buffers) = sent[0]
    assert content == {"kind": "plotly"} and b"plotly" in buffers[0]


def test_numbers_go_to_the_browser_as_they_are_and_gaps_stay_gaps() -> None:
    numbers = np.array([0.1, np.nan, -3.0])
    sent = json.loads(as_json({"data": [{"x": numbers, "y": np.arange(3), "z": np.float64(0.5)}]}))["data"][0]
    back = np.frombuffer(base64.b64decode(sent["x"]["bdata"]), "<" + sent["x"]["dtype"])
    np.testing.assert_array_equal(back, numbers)  # exact: the same bits
    assert sent["y"] == [0, 1, 2] and sent["z"] == 0.5
    with pytest.raises(ValueError, match="Out of range float"):
        as_json({"data": [{"x": [float("nan")]}]})  # a browser cannot read it


JUMPS = {
    # picture: the functions on the way after the panel's own, and the formula that stands in the last
    "lesson1.stack": ([pair.fused_bar, compatibility.bilayer], "1/rho = 6 eps (1 + m)^2/(h [3 (1 + m)^2"),
    "lesson2.fill_the_mould": ([filling.fill_cone, volume.frustum], "V = pi h (r1^2 + r1 r2 + r2^2) / 3"),
    "lesson3.paper": ([layers.paper_layers], "n = (depth - face) / (kept t)"),
    "lesson3b.same_form": ([forming.same_form, forming.hold_minutes], "t = F eta(T)/60"),
    "lesson5.drill": ([holes.drill_speed], "n = 60 v/(pi D)"),
}


@pytest.mark.parametrize("name", JUMPS)
def test_from_a_picture_to_its_formula_in_at_most_three_jumps(name: str) -> None:
    ways, formula = JUMPS[name]
    here = PANELS[name].result  # the first jump: it stands beside the panel
    assert 1 + len(ways) <= 3
    for way in ways:
        assert f"{way.__name__}(" in inspect.getsource(here), f"{here.__name__} does not lead to {way}"
        here = way
    assert formula in " ".join(inspect.getsource(here).split())


def parts_of(box: Any) -> Iterator[Any]:
    yield box
    for child in getattr(box, "children", ()):
        yield from parts_of(child)


def test_panels_and_exercises_share_one_layout_but_for_what_is_hidden_at_times() -> None:
    """Each layout and style is a widget with a message of its own, and a page has hundreds of parts."""
    shown = [show(PANELS[name]) for name in ("lesson2.fill_the_mould", "lesson3.paper")]
    shown += [exercise("3.1"), exercise("3.2")]
    parts = [part for box in shown for part in parts_of(box)]
    own = [part for part in parts if part.layout is not shown[0].layout]
    assert len(parts) > 60
    assert {str(part.layout.display) for part in own} <= {"none", "None"}
    assert len(own) == 3  # hand: the box of the guess, and "My own numbers" of either exercise
    assert len({id(part.style) for part in parts if type(part).__name__ == "Text"}) == 1
