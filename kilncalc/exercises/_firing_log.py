"""Three exercises of lesson 6 on a kiln's log: it falls behind, it cools by itself, its sensor reads low."""

import math

from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.schedule import Schedule, Segment

_HOUR = 3600.0


class FallsBehind(Question):
    """How late a kiln will be that climbs more slowly than asked."""

    key = "6.5"
    title = "a kiln that falls behind"
    minutes = 7
    given = (
        Given("start", "temperature", ("20 °C",), ("70 °F",)),
        Given("rate", "rate", ("150 °C/h",), ("270 °F/h",)),
        Given("target", "temperature", ("620 °C", "560 °C", "590 °C"), ("1150 °F", "1040 °F", "1100 °F")),
        Given("after", "time", ("3 h",)),
        Given("shows", "temperature", ("425 °C", "440 °C", "410 °C"), ("800 °F", "820 °F", "775 °F")),
    )
    text = (
        "The first segment asks for {rate} from {start} to {target}. The log shows {shows} after {after}. "
        "If the kiln goes on climbing as it has so far, how late will it be at {target}?"
    )
    dimension = "time"
    tolerance = Tolerance(absolute=60.0)
    low, high = 600.0, 3600.0
    hints = (
        "How fast has it climbed so far? It began at the temperature of the room.",
        "How long does the whole way take at that rate, and how long at the rate asked for?",
        "It is late by the difference of the two.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return how late it is [s]."""
        return self._way(numbers, self._real_rate(numbers)) - self._way(numbers, numbers["rate"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        right, rate = self.value(numbers), numbers["rate"]
        behind = numbers["start"] + rate * numbers["after"] / _HOUR - numbers["shows"]
        so_far = behind / rate * _HOUR
        return {
            "only what it is late now": Slip(
                so_far,
                "You get this if it climbs as asked from now on. It goes on climbing too slowly and loses "
                "more.",
            ),
            "only what it still loses": Slip(
                right - so_far,
                "You get this for the rest of the way alone: it is late already.",
            ),
            "when, not how late": Slip(
                self._way(numbers, self._real_rate(numbers)),
                "This is when it arrives, counted from the start. Asked is by how much that is too late.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        rate = show.text(self._real_rate(numbers), "rate")
        climbed = show.text(numbers["shows"] - numbers["start"], "temperature_difference")
        whole = show.text(numbers["target"] - numbers["start"], "temperature_difference")
        really, asked = (self._way(numbers, one) for one in (self._real_rate(numbers), numbers["rate"]))
        return [
            f"It has climbed {climbed} in {texts['after']}, that is {rate}.",
            f"The whole way is {whole}: {show.text(really, 'time')} at {rate}, "
            f"{show.text(asked, 'time')} at {texts['rate']}.",
            "It is late by the difference.",
        ]

    def _real_rate(self, numbers: Numbers) -> float:
        return (numbers["shows"] - numbers["start"]) / numbers["after"] * _HOUR

    def _way(self, numbers: Numbers, rate: float) -> float:
        return Schedule((Segment(rate, numbers["target"]),), numbers["start"]).duration


class CoolsByItself(Question):
    """When a kiln that is off may be opened, from two readings of its log."""

    key = "6.6"
    title = "when it may be opened"
    minutes = 8
    given = (
        Given("room", "temperature", ("20 °C",), ("70 °F",)),
        Given("hot", "temperature", ("500 °C",), ("950 °F",)),
        Given("seen", "temperature", ("260 °C", "140 °C"), ("510 °F", "290 °F")),
        Given("after", "time", ("2 h", "2 h 20 min", "1 h 40 min", "2 h 40 min")),
        Given("end", "temperature", ("50 °C", "80 °C"), ("125 °F", "180 °F")),
    )
    text = (
        "The kiln went off at {hot} in a room of {room}. {after} later its log shows {seen}. Its difference "
        "to the room halves again and again, each time in the same time. How long after it went off is it "
        "down to {end}?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.01)
    low, high = 2 * _HOUR, 11 * _HOUR
    hints = (
        "Subtract the room from every temperature first.",
        "Write the differences down, each half of the one before, until you are at the last one.",
        "How many halvings are there up to the reading? So how long does one take?",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time since the kiln went off [s]."""
        return numbers["after"] * self._halvings(numbers, "end") / self._halvings(numbers, "seen")

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        after, hot, seen, end = (numbers[name] for name in ("after", "hot", "seen", "end"))
        h, s, e = (float(numbers.show.number(one, "temperature")) for one in (hot, seen, end))
        return {
            "falls in a straight line": Slip(
                after * (hot - end) / (hot - seen),
                "You get this if it goes on falling as fast as at first: it falls ever more slowly.",
            ),
            "zero taken for the room": Slip(
                after * math.log(h / e) / math.log(h / s),
                "You get this if you halve the temperatures themselves: it is the difference to the room "
                "that halves.",
            ),
            "counted from the reading": Slip(
                self.value(numbers) - after,
                "This is counted from the reading; asked is the time since the kiln went off.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        seen, end = (round(self._halvings(numbers, name)) for name in ("seen", "end"))
        row = [
            show.text((numbers["hot"] - numbers["room"]) / 2**step, "temperature_difference")
            for step in range(end + 1)
        ]
        one = show.text(numbers["after"] / seen, "time")
        return [
            f"Above the room, halved again and again: {', '.join(row)}.",
            f"Up to {texts['seen']} that is {seen} of them in {texts['after']}, so one takes {one}.",
            f"Down to {texts['end']} there are {end}: {end} × {one}.",
        ]

    def _halvings(self, numbers: Numbers, name: str) -> float:
        return math.log2((numbers["hot"] - numbers["room"]) / (numbers[name] - numbers["room"]))


class SensorLow(Question):
    """What a hold was worth when the sensor read low."""

    key = "6.7"
    title = "a sensor that reads low"
    minutes = 8
    given = (
        Given("room", "temperature", ("20 °C",), ("70 °F",)),
        Given("cold", "temperature", ("0 °C", "10 °C"), ("34 °F", "52 °F")),
        Given("hold", "time", ("10 min", "15 min", "12 min", "20 min")),
        Given("level", "temperature", ("680 °C", "670 °C"), ("1250 °F", "1240 °F")),
        Given("times", "count", ("1.26",)),
        Given("step", "temperature_difference", ("5 °C",), ("9 °F",)),
    )
    text = (
        "A slump went too far, and its log looks right: {hold} at {level}. But the cold kiln shows {cold} in "
        "a room of {room}, and the sensor reads low by as much all the way. Glass flows {times} times as "
        "fast for every {step} that it is hotter. How long a hold at a true {level} would have done the same?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.01)
    low, high = 900.0, 3600.0
    hints = (
        "How much does the sensor read low? That much hotter was the glass during the hold.",
        "How many steps is that? Every step multiplies once more.",
        "Hotter glass flows faster: the same hold is worth more.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the length of the hold that would have done the same [s]."""
        return numbers["hold"] * numbers["times"] ** self._steps(numbers)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        hold, times, steps = numbers["hold"], numbers["times"], self._steps(numbers)
        return {
            "the wrong way": Slip(
                hold / times**steps,
                "You get this for glass that was colder than the log says. A sensor that reads low lets the "
                "kiln get too hot.",
            ),
            "steps added up": Slip(
                hold * (1 + (times - 1) * steps),
                "You get this if every step adds the same. Every step multiplies what is there already.",
            ),
            "one step only": Slip(hold * times, "You get this for one step. Count how many there are."),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        steps = round(self._steps(numbers))
        low = show.text(numbers["room"] - numbers["cold"], "temperature_difference")
        factor = numbers["times"] ** steps
        return [
            f"The sensor reads {low} low, so the glass was {low} hotter: {steps} steps of {texts['step']}.",
            f"It flowed {' × '.join([texts['times']] * steps)} = {factor:.3g} times as fast.",
            f"{texts['hold']} of that is worth {factor:.3g} × {texts['hold']}.",
        ]

    def _steps(self, numbers: Numbers) -> float:
        return (numbers["room"] - numbers["cold"]) / numbers["step"]


ON_THE_LOG = (FallsBehind(), CoolsByItself(), SensorLow())
"""The last three questions of lesson 6."""
