"""Where each key of a TOML text stands."""

import tomllib

from balance.job.lines import line_of, lines_of

TEXT = """\
# comment with [brackets] and "quotes"
a = 1
"b c".d = "x # not comment" # comment = 3
e = [ 1, # one
  "]",
  { f = 2, g = [3,
   4] },
]
[t.u]
k = '''
multi = 3
[not.a.table]
'''
date = 1979-05-27 07:32:00
z = 1
[[p.q]]
m = 1
[[p.q]]
m = 2
[p.q.sub]
n = 1
[[p.q.r]]
o = 1
[[p.q.r]]
o = "end without newline\\" = "
"""


def every_path(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    items = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else []
    )
    found = [path] if path else []
    for key, inner in items:
        found += every_path(inner, (*path, key))
    return found


def test_every_key_of_a_twisted_file_has_its_line() -> None:
    places = lines_of(TEXT)
    lines = TEXT.splitlines()
    for path in every_path(tomllib.loads(TEXT)):
        if path in (("t",), ("p",), ("p", "q"), ("p", "q", 1, "r")):
            continue  # opened by a header of something inside it
        assert path in places, path
        if isinstance(path[-1], str):
            assert path[-1] in lines[places[path] - 1], path


def test_items_of_arrays_have_lines_of_their_own() -> None:
    assert line_of(TEXT, ("e", 0)) == 4
    assert line_of(TEXT, ("e", 1)) == 5
    assert line_of(TEXT, ("e", 2, "g", 1)) == 7
    assert line_of(TEXT, ("p", "q", 1, "m")) == 19


def test_an_absent_key_is_placed_at_its_nearest_parent() -> None:
    assert line_of(TEXT, ("p", "q", 0, "missing")) == 16
    assert line_of(TEXT, ("nowhere",)) is None


def test_crlf_and_a_final_line_without_end() -> None:
    assert line_of("a = 1\r\n[b]\r\nc = 2", ("b", "c")) == 3
