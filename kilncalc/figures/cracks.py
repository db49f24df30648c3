"""Drawings of broken pieces: what the crack tells about when it broke. Not to scale."""

import numpy as np

from kilncalc.figures import style

_CRACK = {"color": style.INK, "width": 3}
_SEAM = {"color": style.INK, "width": 2}


def four_breaks() -> style.Figure:
    """Return four broken tiles from above and their broken edges in section, with what each says."""
    caption = (
        "Four tiles from above and their broken edges in section, not to scale. 1: rounded edges, broken "
        "while heating. 2: sharp edges and a curved crack from the rim, broken while cooling. 3: sharp and "
        "along the border of a thicker strip, the two parted in temperature. 4: cracks out from a second "
        "glass, the glasses do not fit."
    )
    says = (
        ("1  while heating", "edges rounded: it was fired<br>on after it broke"),
        ("2  while cooling", "edges sharp, the crack hooks<br>and began at the rim"),
        ("3  thick beside thin", "sharp, along the border of<br>the thicker strip"),
        ("4  glasses do not fit", "out from the second glass,<br>often days later"),
    )
    traces = [*_heating(0.0), *_cooling(1.08), *_border(2.16), *_inlay(3.24)]
    return style.figure(
        traces,
        caption,
        margin={"l": 4, "r": 4, "t": 4, "b": 4},
        xaxis={"range": [0, 4.28], "visible": False, "fixedrange": True},
        yaxis={"range": [0, 1.64], "visible": False, "fixedrange": True, "scaleanchor": "x"},
        annotations=[
            style.label(
                1.08 * place + 0.05,
                y,
                text,
                xanchor="left",
                yanchor="top",
                font={"size": size, "color": style.INK},
            )
            for place, (title, words) in enumerate(says)
            for y, text, size in ((1.60, f"<b>{title}</b>", 20), (0.28, words, 17))
        ],
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


def _heating(at: float) -> list[style.Trace]:
    left = np.array([(0.06, 0.72), (0.06, 1.34), (0.42, 1.34), (0.46, 1.12), (0.40, 0.90), (0.44, 0.72)])
    right = np.array([(0.58, 0.72), (0.54, 0.90), (0.60, 1.12), (0.54, 1.34), (0.98, 1.34), (0.98, 0.72)])
    halves = []
    for half in (left, right):
        x, y = np.array([*half, half[0]]).T
        halves.append(style.body("glass", at + x, y))
    return [
        *halves,
        style.body("glass", *_moved(at, _box(0.06, 0.46, 0.38, 0.54, rounded=("right",)))),
        style.body("glass", *_moved(at, _box(0.56, 0.98, 0.38, 0.54, rounded=("left",)))),
        style.marks([at + 0.5], [1.03], style.MARK_WORST),
    ]


def _cooling(at: float) -> list[style.Trace]:
    along = np.linspace(0, 1, 40)
    heading = np.pi - 2.7 * along**2  # it turns ever more, as a hook does
    crack_x = 0.98 + np.cumsum(np.cos(heading)) * 0.95 / along.size
    crack_y = 0.84 + np.cumsum(np.sin(heading)) * 0.95 / along.size
    return [
        style.body("glass", *_moved(at, _box(0.06, 0.98, 0.72, 1.34))),
        style.line(at + crack_x, crack_y, _CRACK),
        style.body("glass", *_moved(at, _box(0.06, 0.50, 0.38, 0.54))),
        style.body("glass", *_moved(at, _box(0.54, 0.98, 0.38, 0.54))),
        style.marks([at + 0.98], [0.84], style.MARK_WORST),
    ]


def _border(at: float) -> list[style.Trace]:
    step = np.array(
        [(0.06, 0.38), (0.06, 0.46), (0.60, 0.46), (0.60, 0.58), (0.98, 0.58), (0.98, 0.38), (0.06, 0.38)]
    ).T
    wave = np.linspace(0.72, 1.34, 20)
    return [
        style.body("glass", *_moved(at, _box(0.06, 0.98, 0.72, 1.34))),
        style.body("glass", *_moved(at, _box(0.62, 0.86, 0.72, 1.34)), opacity=0.8),
        style.line(at + 0.60 + 0.015 * np.sin(25 * wave), wave, _CRACK),
        style.body("glass", *_moved(at, step)),
        style.line([at + 0.60, at + 0.585, at + 0.60], [0.46, 0.42, 0.38], _CRACK),
        style.marks([at + 0.60], [0.72], style.MARK_WORST),
    ]


def _inlay(at: float) -> list[style.Trace]:
    turn = np.linspace(0, 2 * np.pi, 40)
    rays_x: list[float | None] = []
    rays_y: list[float | None] = []
    for angle, reach in ((0.4, 0.36), (2.5, 0.34), (4.4, 0.30)):
        for share in np.linspace(0.16, reach, 6):
            bend = 0.5 * (share - 0.16)
            rays_x.append(at + 0.52 + share * np.cos(angle + bend))
            rays_y.append(1.03 + share * np.sin(angle + bend))
        rays_x.append(None)
        rays_y.append(None)
    return [
        style.body("glass", *_moved(at, _box(0.06, 0.98, 0.72, 1.34))),
        style.body("second glass", at + 0.52 + 0.16 * np.cos(turn), 1.03 + 0.16 * np.sin(turn)),
        style.line(rays_x, rays_y, _CRACK),
        style.body("glass", *_moved(at, _box(0.06, 0.98, 0.38, 0.54))),
        style.body("second glass", *_moved(at, _box(0.36, 0.68, 0.46, 0.54))),
        style.line([at + 0.68, at + 0.72], [0.46, 0.38], _SEAM),
        style.marks([at + 0.68], [1.03], style.MARK_WORST),
    ]


def _moved(at: float, outline: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return at + outline[0], outline[1]
