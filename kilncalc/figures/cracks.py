"""Drawings of broken pieces: what the crack tells about when it broke. Not to scale."""

import numpy as np

from kilncalc.figures import style
from kilncalc.quantities import Show

_CRACK = {"color": style.INK, "width": 3}
_SEAM = {"color": style.INK, "width": 2}


def four_breaks(_result: None, _show: Show) -> style.Figure:
    """Return four broken tiles from above and their broken edges in section, with what each says."""
    caption = (
        "Four tiles from above and their broken edges in section, not to scale; the cross marks where each "
        "broke first. 1: rounded edges, broken while heating, from the middle. 2: sharp edges and a curved "
        "crack from the rim, broken while cooling. 3: a crack along the border of a thicker part, from where "
        "the border meets the rim: thick and thin parted in temperature. 4: cracks out from a second glass: "
        "the glasses do not fit."
    )
    says = (
        (_heating(), "1  while heating", "edges rounded: it was<br>fired on after it broke"),
        (_cooling(), "2  while cooling", "edges sharp, the crack hooks<br>and began at the rim"),
        (_border(), "3  thick beside thin", "along the border of<br>the thicker part"),
        (_inlay(), "4  glasses do not fit", "out from the second glass,<br>often days later"),
    )
    return style.picture([_tile(traces, title, words) for traces, title, words in says], caption)


def _tile(traces: list[style.Trace], title: str, words: str) -> style.Pane:
    return style.pane(
        traces,
        x={"range": [0, 1.04], "visible": False, "fixedrange": True},
        y={"range": [0, 1.64], "visible": False, "fixedrange": True, "scaleanchor": "x"},
        annotations=[
            style.label(0.05, y, text, xanchor="left", yanchor="top", font={"size": size, "color": style.INK})
            for y, text, size in ((1.60, f"<b>{title}</b>", 18), (0.30, words, 16))
        ],
        height=390,
        least=240,
        margin={"l": 4, "r": 4, "t": 4, "b": 4},
    )


def _box(
    low_x: float, high_x: float, low_y: float, high_y: float, rounded: tuple[str, ...] = ()
) -> np.ndarray:
    """Return the outline of a box, the named corners ("left", "right") rounded as glass is by heat."""
    radius = 0.08
    turn = np.linspace(0, np.pi / 2, 8)
    corners = (
        (high_x, high_y, 0.0, "right"),
        (low_x, high_y, np.pi / 2, "left"),
        (low_x, low_y, np.pi, "left"),
        (high_x, low_y, 3 * np.pi / 2, "right"),
    )
    points = []
    for x, y, begin, side in corners:
        if side in rounded:
            centre_x = x - radius * np.sign(np.cos(begin + np.pi / 4))
            centre_y = y - radius * np.sign(np.sin(begin + np.pi / 4))
            points += [
                (centre_x + radius * np.cos(begin + a), centre_y + radius * np.sin(begin + a)) for a in turn
            ]
        else:
            points.append((x, y))
    return np.array([*points, points[0]]).T


def _heating() -> list[style.Trace]:
    left = [(0.06, 0.72), (0.06, 1.34), (0.42, 1.34), (0.46, 1.12), (0.40, 0.90), (0.44, 0.72), (0.06, 0.72)]
    right = [(0.58, 0.72), (0.54, 0.90), (0.60, 1.12), (0.54, 1.34), (0.98, 1.34), (0.98, 0.72), (0.58, 0.72)]
    return [
        *(style.body("glass", *np.array(half).T) for half in (left, right)),
        style.body("glass", *_box(0.06, 0.46, 0.38, 0.54, rounded=("right",))),
        style.body("glass", *_box(0.56, 0.98, 0.38, 0.54, rounded=("left",))),
        style.marks([0.5], [1.03], style.MARK_WORST),
    ]


def _cooling() -> list[style.Trace]:
    along = np.linspace(0, 1, 40)
    heading = np.pi - 2.7 * along**2  # it turns ever more, as a hook does
    crack_x = 0.98 + np.cumsum(np.cos(heading)) * 0.95 / along.size
    crack_y = 0.84 + np.cumsum(np.sin(heading)) * 0.95 / along.size
    return [
        style.body("glass", *_box(0.06, 0.98, 0.72, 1.34)),
        style.line(crack_x, crack_y, _CRACK),
        style.body("glass", *_box(0.06, 0.50, 0.38, 0.54)),
        style.body("glass", *_box(0.54, 0.98, 0.38, 0.54)),
        style.marks([0.98], [0.84], style.MARK_WORST),
    ]


def _border() -> list[style.Trace]:
    border = 0.60  # the thick part lies to the right of it, above and in section
    step = [
        (0.06, 0.38),
        (0.06, 0.46),
        (border, 0.46),
        (border, 0.58),
        (0.98, 0.58),
        (0.98, 0.38),
        (0.06, 0.38),
    ]
    along = np.linspace(0.72, 1.34, 20)
    return [
        style.body("glass", *_box(0.06, 0.98, 0.72, 1.34)),
        style.body("glass", *_box(border, 0.98, 0.72, 1.34)),
        style.line(border - 0.02 + 0.012 * np.cos(25 * (along - 0.72)), along, _CRACK),
        style.body("glass", *np.array(step).T),
        style.line([border, border - 0.015, border - 0.005], [0.46, 0.42, 0.38], _CRACK),
        {
            **style.scatter([0.79], [1.03], mode="text", text=["thicker"]),
            "textfont": {"size": style.TEXT_SIZE},
        },
        style.marks([border - 0.008], [0.72], style.MARK_WORST),
    ]


def _inlay() -> list[style.Trace]:
    turn = np.linspace(0, 2 * np.pi, 40)
    rays_x: list[float | None] = []
    rays_y: list[float | None] = []
    angles = ((0.4, 0.36), (2.5, 0.34), (4.4, 0.30))
    for angle, reach in angles:
        for share in np.linspace(0.16, reach, 6):
            bend = 0.5 * (share - 0.16)
            rays_x.append(0.52 + share * np.cos(angle + bend))
            rays_y.append(1.03 + share * np.sin(angle + bend))
        rays_x.append(None)
        rays_y.append(None)
    first = angles[0][0]
    return [
        style.body("glass", *_box(0.06, 0.98, 0.72, 1.34)),
        style.body("second glass", 0.52 + 0.16 * np.cos(turn), 1.03 + 0.16 * np.sin(turn)),
        style.line(rays_x, rays_y, _CRACK),
        style.body("glass", *_box(0.06, 0.98, 0.38, 0.54)),
        style.body("second glass", *_box(0.36, 0.68, 0.46, 0.54)),
        style.line([0.68, 0.72], [0.46, 0.38], _SEAM),
        style.marks([0.52 + 0.16 * np.cos(first)], [1.03 + 0.16 * np.sin(first)], style.MARK_WORST),
    ]
