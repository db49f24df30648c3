"""A piece file written anew in its own words: comments and spelling of all that has not changed stay."""

import re
from collections import Counter
from collections.abc import Mapping, MutableMapping
from difflib import SequenceMatcher
from typing import Any

import tomlkit
from tomlkit.items import AoT


def kept(text: str, before: str, after: str) -> str:
    """Return a text of TOML with the changes between two others made in it.

    `before` says the same as `text`, in the words in which `after` says what is to stand there.
    """
    document = tomlkit.parse(text)
    _change(document, tomlkit.parse(before), tomlkit.parse(after))
    return tomlkit.dumps(document)


def lost(before: str, after: str) -> tuple[str, ...]:
    """Return the comments of one text that another does not have any more."""
    then, now = (Counter(re.findall(r"(?:^|\s)(#.*)$", text, re.MULTILINE)) for text in (before, after))
    return tuple((then - now).elements())


def _change(table: MutableMapping[str, Any], before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    """Make the changes from one table to another in a third."""
    for key in before:
        if key not in after:
            table.pop(key, None)
    for key, new in after.items():
        old = before.get(key)
        if key in table and new == old:
            continue
        if key in table and isinstance(new, Mapping) and isinstance(old, Mapping):
            _change(table[key], old, new)
        elif key in table and isinstance(table[key], AoT) and isinstance(new, AoT) and isinstance(old, AoT):
            _change_row(table[key], old, new)
        elif key in table and not isinstance(new, Mapping | AoT):
            _put(table, key, new)
        else:
            table.pop(key, None)
            table[key] = new


def _put(table: MutableMapping[str, Any], key: str, new: Any) -> None:
    """Let a value stand where another stood, with the comment behind it."""
    trivia = getattr(table[key], "trivia", None)
    item = tomlkit.item(new.unwrap())
    if trivia is not None:
        item.trivia.comment_ws, item.trivia.comment = trivia.comment_ws, trivia.comment
    table[key] = item


def _change_row(tables: AoT, before: AoT, after: AoT) -> None:
    """Make the changes from one row of tables to another in a third: each stays with its own words."""
    written = list(tables)
    then, now = ([repr(one.unwrap()) for one in row] for row in (before, after))
    row: list[Any] = []
    for what, a, b, c, d in SequenceMatcher(None, then, now, autojunk=False).get_opcodes():
        if what == "equal":
            row += written[a:b]
            continue
        for place in range(c, d):
            same = a + place - c
            if same < b:
                _change(written[same], before[same], after[place])
                row.append(written[same])
            else:
                row.append(after[place])
    while len(tables):
        del tables[-1]
    for one in row:
        tables.append(one)
