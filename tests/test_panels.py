"""Every panel, in both unit systems and at both ends of every control; the live widget behind them."""

import base64
import importlib
import json
import pkgutil
from collections.abc import Iterator
from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest

from kilncalc import panels
from kilncalc.figures import style
from kilncalc.panels import Choice, Panel, Slider, as_json, show
from kilncalc.quantities import from_unit


def every_panel() -> Iterator[tuple[str, Panel]]:
    for module in pkgutil.iter_modules(panels.__path__):
        if module.name.startswith("lesson"):
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


@pytest.mark.parametrize("name", PANELS)
def test_draws_at_both_ends_of_every_control_in_both_unit_systems(name: str) -> None:
    panel = PANELS[name]
    states = [{}]
    for control in panel.controls:
        ends = control.options if isinstance(control, Choice) else (control.low, control.high)
        states += [{control.name: end} for end in ends]
    for end in ("low", "high"):
        states.append({c.name: getattr(c, end) for c in panel.controls if isinstance(c, Slider)})
    values = {control.name: control.value for control in panel.controls}
    for units in ("metric", "us"):
        for state in states:
            drawn = panel.draw(units=units, **{**values, **state})
            sent = json.loads(as_json(drawn), parse_constant=pytest.fail)
            figure = go.Figure(drawn)  # refuses a misspelt property or an impossible value
            assert names_in(sent) <= names_in(figure.to_plotly_json()), (
                state
            )  # spelt as the browser knows them
            assert figure.layout.meta["caption"].endswith((".", "?", "!")), state
            assert "nan" not in figure.layout.meta["caption"], state
            assert figure.layout.width <= style.WIDTH and figure.layout.height <= style.HEIGHT
            plain = figure.to_plotly_json()
            assert min(fonts_in(plain)) >= 16  # readable from the back of the room
            assert not any(np.isinf(number) for number in numbers_in(plain)), state


@pytest.mark.parametrize("name", PANELS)
def test_a_slider_stands_within_its_own_range_and_the_title_is_a_question(name: str) -> None:
    panel = PANELS[name]
    assert panel.title.endswith("?")
    for control in panel.controls:
        if isinstance(control, Slider):
            assert control.low <= control.value <= control.high
            assert control.step <= (control.high - control.low) / 5
        else:
            assert control.value in control.options


def demo(limit: float = 0.09) -> Panel:
    def draw(length: float, kind: str, units: str) -> go.Figure:
        if length > limit:
            raise ValueError(f"length is {length:g} m; allowed is 0 to {limit:g} m")
        x = np.array([0.0, length])
        return style.figure(
            [style.curve(x, x, kind)],
            f"{kind} {length:g} {units}.",
            xaxis=style.axis("x", 0, 1),
            annotations=[style.label(0, 0, f"{length:g}")],
        )

    sliders = (
        Slider("length", "length of it", "length", 0.05, 0.01, 0.10, 0.01),
        Choice("kind", "kind of it", ("sheet", "rod"), "sheet"),
    )
    return Panel("How long is it?", draw, sliders)


def parts(box: object) -> tuple:
    top, controls, picture, caption, message = box.children
    slider, typed = controls.children[0].children
    return top.children[1], slider, typed, controls.children[1], picture, caption, message


def xs(picture: Any) -> list[float]:
    """Return the x of the picture's first trace, unpacked as a browser does it."""
    packed = json.loads(picture.figure)["data"][0]["x"]
    return list(np.frombuffer(base64.b64decode(packed["bdata"]), packed["dtype"]))


def test_a_moved_slider_draws_the_picture_anew() -> None:
    box = show(demo())
    _switch, slider, typed, choice, picture, caption, _message = parts(box)
    slider.value = 70
    assert xs(picture) == [0.0, 0.07]  # exact: what the slider was set to
    assert json.loads(picture.figure)["layout"]["annotations"][0]["text"] == "0.07"
    assert typed.value == "70 mm"
    assert "sheet 0.07" in caption.value
    choice.value = "rod"
    assert json.loads(picture.figure)["data"][0]["name"] == "rod"
    assert "rod 0.07" in caption.value


def test_a_typed_value_moves_the_slider_or_gets_a_sentence() -> None:
    _switch, slider, typed, _choice, picture, _caption, message = parts(show(demo()))
    typed.value = "1 1/2 in"
    assert xs(picture) == [0.0, 0.0381]  # exact: 25.4 mm to the inch
    assert slider.value == pytest.approx(40)  # hand: the step of 10 mm nearest to 38.1 mm
    assert message.value == ""
    for wrong in ("7", "rubbish", "3 kg", "<b>1</b> mm"):
        typed.value = wrong
        assert xs(picture) == [0.0, 0.0381]
        assert "length of it" in message.value
        assert "<b>" not in message.value
    typed.value = "6 m"
    assert "outside" in message.value and "100 mm" in message.value
    typed.value = "20 mm"
    assert slider.value == pytest.approx(20) and message.value == ""


def test_a_mistake_of_ours_is_told_instead_of_a_picture_that_does_not_move() -> None:
    def draw(length: float, units: str) -> style.Figure:
        return style.figure([], f"{length:g}.") if length < 0.06 else {}["nothing"]

    panel = Panel("How long?", draw, (Slider("length", "length", "length", 0.05, 0.01, 0.10, 0.01),))
    _top, controls, _picture, caption, message = show(panel).children
    controls.children[0].children[0].value = 70
    assert "Something went wrong in this picture (KeyError: &#x27;nothing&#x27;)" in message.value
    assert "0.05." in caption.value
    controls.children[0].children[0].value = 30
    assert message.value == "" and "0.03." in caption.value


def test_the_unit_switch_redraws_and_rewrites_the_boxes() -> None:
    switch, _slider, typed, _choice, _picture, caption, _message = parts(show(demo()))
    switch.value = "us"
    assert typed.value.endswith(" in")
    assert "0.05 us" in caption.value
    assert parts(show(demo(), "us"))[2].value.endswith(" in")


def test_a_refusal_of_the_calculation_becomes_a_message_and_the_picture_stays() -> None:
    _switch, slider, _typed, _choice, picture, _caption, message = parts(show(demo()))
    slider.value = 100
    assert "length is 0.1 m; allowed is 0 to 0.09 m" in message.value
    assert xs(picture) == [0.0, 0.05]  # exact: the last that worked
    slider.value = 80
    assert message.value == ""
    assert xs(picture) == [0.0, 0.08]  # exact: what the slider was set to


def test_a_slider_counts_in_round_steps_of_the_unit_shown() -> None:
    box = show(demo(limit=1))
    switch, slider, typed, _choice, picture, _caption, message = parts(box)
    assert (slider.min, slider.max, slider.step) == pytest.approx((10, 100, 10))  # exact: mm
    switch.value = "us"
    slider = parts(box)[1]
    # hand: 10 mm = 0.394 in, half an inch is nearest; 0.394 to 3.94 in holds 1/2 to 3 1/2 in
    assert (slider.min, slider.max, slider.step) == (0.5, 3.5, 0.5)
    assert xs(picture) == [0.0, 0.05]  # exact: the value is not rounded to a step of the other unit
    slider.value = 2.5
    assert typed.value == "2 1/2 in"
    assert xs(picture) == [0.0, 2.5 * 0.0254]  # exact: 25.4 mm to the inch
    typed.value = "100 mm"  # beyond the last round step and within the range
    assert xs(picture) == [0.0, 0.1] and message.value == ""
    assert slider.value == 3.5
    switch.value = "metric"
    assert typed.value == "100 mm" and parts(box)[1].value == pytest.approx(100)


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", PANELS)
def test_the_rail_of_each_slider_has_whole_steps_within_its_range(name: str, units: str) -> None:
    for control in PANELS[name].controls:
        if isinstance(control, Slider):
            unit, low, high, step = control.rail(units)
            steps = (high - low) / step
            assert steps == pytest.approx(round(steps), abs=1e-6) and steps >= 5, control.name
            for end in (low, high):
                value = from_unit(end, control.dimension, unit)
                room = 1e-9 * (control.high - control.low)
                assert control.low - room <= value <= control.high + room, control.name


def test_the_figure_goes_to_the_browser_without_plotlys_code_which_comes_when_asked_for() -> None:
    picture = parts(show(demo()))[4]
    state = picture.get_state()
    assert json.loads(state["figure"])["layout"]["width"] == style.WIDTH
    assert len(state["_esm"]) < 5000
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
