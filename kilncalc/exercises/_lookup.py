"""Where exercises are found: a lesson's in its module, a teacher's own in the folder."""

import functools
import importlib
import pkgutil
import re

from kilncalc.exercises._questions import Question

_KEY = re.compile(r"([0-9]{1,2}[a-z]?)\.([1-9][0-9]?)")


def lesson_labels() -> list[str]:
    """Return the labels of the lessons that have exercises, as "2" or "3b", in order."""
    return list(_lesson_labels())


@functools.cache
def _lesson_labels() -> tuple[str, ...]:
    import kilncalc.exercises as package

    names = [module.name for module in pkgutil.iter_modules(package.__path__)]
    labels = (name.removeprefix("lesson") for name in names if re.fullmatch(r"lesson[0-9]{1,2}[a-z]?", name))
    return tuple(sorted(labels, key=lambda label: (int(label.rstrip("abcdefghijklmnopqrstuvwxyz")), label)))


def questions(label: str) -> tuple[Question, ...]:
    """Return the exercises of a lesson, in order; ValueError for a lesson that has none."""
    if label not in lesson_labels():
        raise ValueError(f"no lesson {label!r} has exercises; these have: {', '.join(lesson_labels())}")
    found: tuple[Question, ...] = importlib.import_module(f"kilncalc.exercises.lesson{label}").QUESTIONS
    return found


def question(key: str) -> Question:
    """Return the exercise with this key; ValueError with a sentence otherwise.

    "2.1" and "3b.2" are those of the lessons, "own.1" is a teacher's own, in the folder's questions.toml.
    """
    if not isinstance(key, str):
        raise ValueError(f'write the key of an exercise in double quotes, as in exercise("2.1"), not {key!r}')
    if key.strip().startswith("own."):
        from kilncalc.exercises import own  # with the calculations it knows, only for who has such questions

        return own.of_folder(key.strip())
    if not (match := _KEY.fullmatch(key.strip())):
        raise ValueError(f'{key[:40]!r} is not the key of an exercise; write it as in exercise("2.1")')
    of_lesson = questions(match[1])
    for found in of_lesson:
        if found.key == key.strip():
            return found
    first, last = of_lesson[0].key, of_lesson[-1].key
    raise ValueError(f"there is no exercise {key.strip()!r}; lesson {match[1]} has {first} to {last}")
