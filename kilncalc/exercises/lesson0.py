"""The one exercise of the start page: only a sum to calculate, and everything to see of how marking works."""

from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import INCH


class Stack(Question):
    """Two sheets, measured."""

    key = "0.1"
    title = "a first answer"
    minutes = 3
    given = (
        Given("nominal", "length", ("3 mm",), ("1/8 in",)),
        Given(
            "sheet",
            "length",
            ("3.3 mm", "3.4 mm", "3.5 mm", "3.6 mm"),
            ("0.136 in", "0.138 in", "0.14 in", "0.142 in"),
        ),
    )
    text = (
        "Two sheets of glass lie on each other. They are sold as {nominal}, but your calliper reads {sheet} "
        "on each. How thick is the stack?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.1e-3, inches=0.005 * INCH)
    low, high = 6e-3, 8e-3
    hints = ("There are two sheets.", "What counts: the name of the glass, or what you measured?")

    def value(self, numbers: Numbers) -> float:
        """Return the thickness of the stack [m]."""
        return 2 * numbers["sheet"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        slips = {
            "nominal for measured": Slip(
                2 * numbers["nominal"],
                "You get this with what the glass is sold as. Count with what was measured.",
            ),
            "one sheet": Slip(numbers["sheet"], "That is one sheet; two lie there."),
        }
        if numbers.show.metric:
            slips["inches for millimetres"] = Slip(
                right * INCH / 1e-3, "That number is right in mm. Look at the unit you typed."
            )
        else:
            slips["millimetres for inches"] = Slip(
                right * 1e-3 / INCH, "That number is right in inches. Look at the unit you typed."
            )
        return slips

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        return [f"Measured, not nominal: 2 \u00d7 {numbers.texts['sheet']}."]


QUESTIONS = (Stack(),)
