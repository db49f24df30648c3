"""Every panel, in both unit systems and at both ends of every control; the live widget behind them."""

import importlib
import pkgutil
from collections.abc import Iterator

import numpy as np
import plotly.graph_objects as go
import pytest

from kilncalc import panels
from kilncalc.figures import style
from kilncalc.panels import Choice, Panel, Slider, show


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
    default = panel.default_figure()
    states = [{}]
    for control in panel.controls:
        ends = control.options if isinstance(control, Choice) else (control.low, control.high)
        states += [{control.name: end} for end in ends]
    for end in ("low", "high"):
        states.append({c.name: getattr(c, end) for c in panel.controls if isinstance(c, Slider)})
    values = {control.name: control.value for control in panel.controls}
    for units in ("metric", "us"):
        for state in states:
            figure = panel.draw(units=units, **{**values, **state})
            assert isinstance(figure, go.Figure)
            assert figure.layout.meta["caption"].endswith((".", "?", "!")), state
            assert "nan" not in figure.layout.meta["caption"], state
            assert len(figure.data) == len(default.data), state
            assert len(figure.layout.annotations) == len(default.layout.annotations), state
            assert len(figure.layout.shapes) == len(default.layout.shapes), state
            assert figure.layout.width <= style.WIDTH and figure.layout.height <= style.HEIGHT
            go.Figure(figure)  # validates: refuses a misspelt property or an impossible value
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
    top, controls, live, caption, message = box.children
    slider, typed = controls.children[0].children
    return top.children[1], slider, typed, controls.children[1], live, caption, message


def test_a_moved_slider_changes_only_what_differs_in_the_same_figure() -> None:
    box = show(demo())
    _switch, slider, typed, choice, live, caption, _message = parts(box)
    trace = live.data[0]
    slider.value = 0.07
    assert live.data[0] is trace
    np.testing.assert_array_equal(trace.x, [0.0, 0.07])  # exact: what the slider was set to
    assert live.layout.annotations[0].text == "0.07"
    assert typed.value == "70 mm"
    assert "sheet 0.07" in caption.value
    choice.value = "rod"
    assert trace.name == "rod"
    assert "rod 0.07" in caption.value


def test_a_typed_value_moves_the_slider_or_gets_a_sentence() -> None:
    _switch, slider, typed, _choice, _live, _caption, message = parts(show(demo()))
    typed.value = "1 1/2 in"
    assert slider.value == pytest.approx(0.0381, rel=1e-12)  # exact: 1.5 x 25.4 mm
    assert message.value == ""
    for wrong in ("7", "rubbish", "3 kg", "<b>1</b> mm"):
        typed.value = wrong
        assert slider.value == pytest.approx(0.0381, rel=1e-12)
        assert "length of it" in message.value
        assert "<b>" not in message.value
    typed.value = "6 m"
    assert "outside" in message.value and "100 mm" in message.value
    typed.value = "20 mm"
    assert slider.value == pytest.approx(0.02) and message.value == ""


def test_the_unit_switch_redraws_and_rewrites_the_boxes() -> None:
    switch, _slider, typed, _choice, _live, caption, _message = parts(show(demo()))
    switch.value = "us"
    assert typed.value.endswith(" in")
    assert "0.05 us" in caption.value
    assert parts(show(demo(), "us"))[2].value.endswith(" in")


def test_a_refusal_of_the_calculation_becomes_a_message_and_the_picture_stays() -> None:
    _switch, slider, _typed, _choice, live, _caption, message = parts(show(demo()))
    slider.value = 0.10
    assert "length is 0.1 m; allowed is 0 to 0.09 m" in message.value
    np.testing.assert_array_equal(live.data[0].x, [0.0, 0.05])  # exact: the last that worked
    slider.value = 0.08
    assert message.value == ""
    np.testing.assert_array_equal(live.data[0].x, [0.0, 0.08])  # exact: what the slider was set to


def test_the_figure_reaches_the_browser_complete_and_without_plotlys_code() -> None:
    live = parts(show(demo()))[4]
    state = live.get_state()
    assert len(state["_widget_data"]) == 1
    assert state["_widget_layout"]["width"] == style.WIDTH
    assert len(state["_esm"]) < 5000
    sent = []
    live.send = lambda content, buffers=None: sent.append((content, buffers))
    live._answer(live, {"kind": "plotly"}, [])
    (content, buffers) = sent[0]
    assert content == {"kind": "plotly"} and b"plotly" in buffers[0]
