"""Hostile session files: each is refused in one line or opens, in no time, and never with a fault of the program."""

from __future__ import annotations

from tests.sessions.kit import DESIGN_EXAMPLE as EXAMPLE

_TITLE = 'title = "HT-04 against HT-11, 30 degree steps"'
_SETUP = '\n[[entry]]\nkind = "setup"\ntime = 2026-03-02T08:52:40+00:00\nworksheet = "x"\n'


def _deep(count: int) -> str:
    return "[" * count + "]" * count


def refused(size: int) -> dict[str, bytes]:
    """Return files that must be refused, by what is wrong with them; `size` is how much of it there is."""
    named = {
        "lists in lists, header": EXAMPLE.replace(_TITLE, f"title = {_deep(size)}"),
        "lists in lists, few": EXAMPLE.replace(_TITLE, f"title = {_deep(300)}"),
        "lists in lists, entry": f"{EXAMPLE}{_SETUP}result = {{a = {_deep(size)}}}\nend = 3\n",
        "lists in lists, entry, few": f"{EXAMPLE}{_SETUP}result = {{a = {_deep(100)}}}\nend = 3\n",
        "tables in tables": EXAMPLE.replace(_TITLE, "title = " + "{a=" * size + "1" + "}" * size),
        "dotted table": EXAMPLE.replace("[lower]", "[" + ".".join(["a"] * size) + "]\n[lower]"),
        "dotted key": EXAMPLE.replace("[lower]", ".".join(['"a"'] * size) + " = 1\n[lower]"),
        "dotted key, inline": EXAMPLE.replace(_TITLE, "title = {" + ".".join(["a"] * size) + " = 1}"),
        "dotted key of an entry": f"{EXAMPLE}{_SETUP}result{'.a' * 500} = 1\nend = 3\n",
        "digits of a value": EXAMPLE.replace("value = 0.12", "value = " + "9" * size),
        "digits of positions": EXAMPLE.replace("positions = 12", "positions = " + "9" * size),
        "hexadecimal digits": EXAMPLE.replace("positions = 12", "positions = 0x" + "f" * size),
        "digits of an end": EXAMPLE.replace("end = 2", "end = " + "9" * size),
        "digits of the last end": EXAMPLE.rstrip("\n").replace("end = 2", "end = " + "9" * size),
        "digits of the version": EXAMPLE.replace("version = 1", "version = " + "9" * 4000),
        "digits of the seal": f"# This header has {'9' * size} lines.\n",
        "1e308": EXAMPLE.replace("value = 0.12", "value = 1e308"),
        "1e999": EXAMPLE.replace("value = 0.12", "value = 1e999"),
        "inf": EXAMPLE.replace("value = 0.12", "value = inf"),
        "nan": EXAMPLE.replace("value = 0.12", "value = nan"),
        "range 1e308": EXAMPLE.replace("range = 150.0", "range = 1e308"),
        "zero byte": EXAMPLE.replace("HT-04 against", "a\0b"),
        "zero byte, escaped": EXAMPLE.replace("HT-04 against", "a\\u0000b"),
        "escape": EXAMPLE.replace("HT-04 against", "a\\u001b]2;owned\\u0007b"),
        "escape, raw": EXAMPLE.replace("HT-04 against", "a\x1b]2;owned\x07b"),
        "C1 control": EXAMPLE.replace("HT-04 against", "a\\u009b5nb"),
        "escape in a key": EXAMPLE.replace("positions = 12", '"po\\u001b[5nsitions" = 12'),
        "escape in a table": EXAMPLE.replace("[upper]", '["up\\u001b[5nper"]'),
        "escape in a kind": EXAMPLE.replace('kind = "strike"', 'kind = "str\\u001b[5n"'),
        "escape in a reason": EXAMPLE.replace("door opened", "a\\u001b[5n"),
        "escape in a field": f'{EXAMPLE}{_SETUP.replace("setup", "amend")}field = "a\\u001b[5n"\nend = 3\n',
        "surrogate": EXAMPLE.replace("HT-04 against", "\\ud800"),
        "UTF-16": EXAMPLE.encode("utf-16"),
        "not UTF-8": EXAMPLE.encode().replace(b"HT-04 against", b"\xff\xfe"),
        "two byte order marks": b"\xef\xbb\xbf" * 2 + EXAMPLE.encode(),
        "day that is none": EXAMPLE.replace("2026-03-02T08:52:10", "2026-02-30T08:52:10"),
        "ends that are none": EXAMPLE + "end" * size,
        "beginnings of entries": EXAMPLE + "\n[[entry]]" * size,
        "quotes": EXAMPLE + '"' * size,
        "brackets": EXAMPLE + "[" * size,
        "equals": f"{EXAMPLE}\n[[entry]]\nx {'=' * size}",
    }
    return {name: data if isinstance(data, bytes) else data.encode() for name, data in named.items()}


def opened(size: int) -> dict[str, bytes]:
    """Return files that are odd and still say what they mean: they open."""
    named = {
        "byte order mark": b"\xef\xbb\xbf" + EXAMPLE.encode(),
        "largest value": EXAMPLE.replace("value = 0.12", "value = 1e12"),
        "smallest standard deviation": EXAMPLE.replace("accepted_sd = 0.05", "accepted_sd = 5e-324"),
        "smallest resolution": EXAMPLE.replace("resolution = 0.01", "resolution = 5e-324"),
        "smallest tolerance": EXAMPLE.replace("tolerance = 0.25 ", "tolerance = 1e-300 "),
        "many decimals": EXAMPLE.replace("value = 0.12", "value = 0." + "1" * size),
        "long title": EXAMPLE.replace("HT-04 against", "x" * size),
        "overriding marks": EXAMPLE.replace("HT-04 against", "a\\u202eb\\u2066c\\u2028"),
        "markup": EXAMPLE.replace("HT-04 against", "[red]x[/] [@click=app.quit]y"),
        "first moment": EXAMPLE.replace("2026-03-02T08:52:10+00:00", "0001-01-01T00:00:00+23:59"),
        "last moment": EXAMPLE.replace("2026-03-02T08:52:40+00:00", "9999-12-31T23:59:59-23:59"),
        "begun at the last moment": EXAMPLE.replace(
            "created = 2026-03-02T08:41:00+00:00", "created = 9999-12-31T23:59:59-23:59"
        ),
        "many remarks": EXAMPLE + "# end \n" * size,
        "long remark": EXAMPLE + "#" * size,
        "blank lines": EXAMPLE + "\n" * size,
        "blanks": EXAMPLE + " " * size,
        "cut text of many ends": f"{EXAMPLE}\n[[entry]]\nkind = \"note\"\ntext = '''\n" + "end of\n" * size,
        "cut number": f"{EXAMPLE}\n[[entry]]\nrun = " + "1" * size,
    }
    return {name: data if isinstance(data, bytes) else data.encode() for name, data in named.items()}
