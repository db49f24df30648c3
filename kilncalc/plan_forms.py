"""The forms of a piece: how its sheet sinks into a mould, and the sleeve draped over its former."""

from dataclasses import dataclass

from kilncalc import formed, forming, layers, writing
from kilncalc.layers import Layers
from kilncalc.plan_laid import sagging_thickness
from kilncalc.project import Project


@dataclass(frozen=True)
class SleeveForm:
    """The sleeve of a piece: its former, the strip to cut, and what it becomes.

    Attributes
    ----------
    run : forming.Drape
        The section's drape, from the strip as cut.
    sleeve : formed.Sleeve
        What it becomes at `fluidity`.
    fluidity : float
        That is counted with [1/Pa].
    blank : float
        Size to cut across the former, so that the finished size is left [m].
    layers : Layers
        Layers of the paper that make the former's height.
    layer : float
        What one of them is under the glass, fired [m].
    by_name : int
        Layers that the paper's name would give [-].
    former_length : float
        Length of the former, with what sticks out [m].
    """

    run: forming.Drape
    sleeve: formed.Sleeve
    fluidity: float
    blank: float
    layers: Layers
    layer: float
    by_name: int
    former_length: float


@dataclass(frozen=True)
class Forms:
    """What forms a piece.

    Attributes
    ----------
    dish : formed.Dish or None
        The piece sinking into its mould to where it first touches; None: no slump.
    sleeve : SleeveForm or None
        Its sleeve; None: no drape.
    """

    dish: formed.Dish | None
    sleeve: SleeveForm | None


def forms_of(project: Project) -> Forms:
    """Return what forms a piece: `formed.dish`, and `formed.draped` with b_cut = b + 2 draw-in(b_cut).

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    Forms
        The slump and the sleeve, sizes [m].

    Raises
    ------
    ValueError
        As `formed.dish` and `formed.draped`.

    Notes
    -----
    A relief counts in the slump by `plan_laid.sagging_thickness`: it weighs and it stiffens. The strip of a
    sleeve is bare. A fluidity is that of `forming.FLUIDITY_OF`; what the written schedule really gives stands
    beside it in the plan.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> sleeve = forms_of(scenario("banner")).sleeve
    >>> sleeve.layers.nearest.count, round(sleeve.blank * 1e3)
    (4, 64)
    """
    return Forms(_dish(project), _sleeve(project))


def _dish(project: Project) -> formed.Dish | None:
    slump = project.slump
    if slump is None:
        return None
    glass = project.glass_of()
    return formed.dish(
        slump.span,
        sagging_thickness(project),
        slump.depth,
        slump.rim,
        writing.PROCESSES["slump"].temperature(glass),
        glass,
    )


_ROUNDS = 3  # of cut size and draw-in: the draw-in hardly depends on the overhang


def _sleeve(project: Project) -> SleeveForm | None:
    drape = project.drape
    if drape is None:
        return None
    glass = project.glass_of(drape.glass)
    process = next(one.process for one in project.firings if one.process in ("drape", "drape and bond"))
    fluidity = forming.FLUIDITY_OF[process]
    paper = layers.paper(drape.paper)
    measured = paper.measured if drape.measured is None else drape.measured
    counted = layers.paper_layers(drape.former_height, measured, kept=paper.kept)
    blank = drape.across
    for _ in range(_ROUNDS):
        run = formed.draped(
            counted.nearest.depth,
            drape.thickness,
            (blank - drape.former_width) / 2,
            drape.former_width,
            "slides",
            drape.base,
            glass,
        )
        blank = drape.across + 2 * run.at(fluidity).draw_in
    former = layers.former_size(
        blank, drape.along, drape.former_width, drape.projection, open_ends=drape.open_ends
    )
    return SleeveForm(
        run=run,
        sleeve=formed.sleeve(run, fluidity, drape.along),
        fluidity=fluidity,
        blank=blank,
        layers=counted,
        layer=measured * paper.kept,
        by_name=layers.paper_layers(drape.former_height, paper.nominal).nearest.count,
        former_length=former.length,
    )
