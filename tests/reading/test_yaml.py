"""Whatever a YAML file holds, what comes out is plain data with its places, or faults: one line each."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.errors import InputError
from scheduler.reading.yamlfile import MAX_DEPTH, MAX_VALUES, load_yaml, parse_yaml


def faults_of(text: str) -> list[str]:
    """The lines that a text brings, each as a person sees it."""
    with pytest.raises(InputError) as caught:
        parse_yaml(text, "x.yaml")
    return [str(fault) for fault in caught.value.faults]


def test_core_schema_of_yaml_1_2() -> None:
    """Plain scalars by the core schema (YAML 1.2.2, section 10.3.2): `yes`, clocks and dates are text."""
    data, _ = parse_yaml("[1, -2, 1.5, 1e3, true, yes, ~, 20:00, 2027-01-09, '1', 0x10]", "x.yaml")
    assert data == [1, -2, 1.5, 1000.0, True, "yes", None, "20:00", "2027-01-09", "1", "0x10"]


def test_untyped_scalars_stay_as_written() -> None:
    """For a job note every scalar is the text that the person wrote; only an empty one is nothing."""
    data, _ = parse_yaml("[1.50, 007, true, yes, ~, '', 1e3]", "x.yaml", typed=False)
    assert data == ["1.50", "007", "true", "yes", None, "", "1e3"]


def test_places_count_from_one() -> None:
    """Key and value have their line and column, from 1; a path that leads beyond the file ends at its last value."""
    _, at = parse_yaml("a: 1\nb:\n  c: [x,\n      y]\nd:\n", "x.yaml")
    assert str(at.key(["b", "c"])) == "x.yaml:3:3"
    assert str(at.value(["b", "c"])) == "x.yaml:3:6"
    assert str(at.value(["b", "c", 1])) == "x.yaml:4:7"
    assert str(at.value(["d"])) == "x.yaml:5:1"
    assert str(at.value(["a", 0, "z"])) == "x.yaml:1:4"
    assert at.has(["b", "c", 1])
    assert not at.has(["b", "c", 2])


def test_an_alias_shares_data_but_not_its_place() -> None:
    """An anchor may be used again; a fault in the use is shown at the use."""
    data, at = parse_yaml("a: &x {k: 1}\nb: *x\n", "x.yaml")
    assert data == {"a": {"k": 1}, "b": {"k": 1}}
    assert str(at.value(["b"])) == "x.yaml:2:4"
    assert str(at.value(["b", "k"])) == "x.yaml:1:11"


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        (
            "a: 1\nb: 2\na: 3\nb: 4\n",
            [
                "x.yaml:3:1: `a` stands here twice, first in line 1; keep one of the two",
                "x.yaml:4:1: `b` stands here twice, first in line 2; keep one of the two",
            ],
        ),
        ("a:\n\tb: c", ["x.yaml:2:1: a tab stands here; indent with spaces"]),
        (
            "a: b\n c: d",
            [
                "x.yaml:2:3: a second `: ` in one value, or a line that stands too far to the right; "
                "put a text that holds `: ` in quotes; line keys of one kind up"
            ],
        ),
        ("a: 'x\nb: c", ["x.yaml:1:4: a quote is opened and never closed; close it"]),
        (
            "a: [1, 2\nb: c",
            ["x.yaml:1:4: a `[` is not closed; put `,` between its entries and `]` at its end"],
        ),
        ("a: {b: 1\nc: d", ["x.yaml:1:4: a `{` is not closed; put `,` between its entries and `}` at its end"]),
        (
            "a: {do: prime: {spots: 3}}",
            [
                "x.yaml:1:14: a second `: ` stands in one value inside braces; put a name with its options in "
                "brackets, such as `do: [prime: {spots: 3}]`, or a text in quotes"
            ],
        ),
        (
            "- a\nb: c",
            ["x.yaml:2:1: this line does not line up with those it belongs to; indent it as far as they are"],
        ),
        ("a: 1\nbcd", ["x.yaml:2:1: there is no `: ` after this key; write `key: value`"]),
        (
            "a: 'b' c",
            [
                "x.yaml:1:8: a text follows here after a value that has ended; "
                "put all of it in one pair of quotes, or on a line of its own"
            ],
        ),
        (
            'a: "C:\\q"',
            [
                "x.yaml:1:8: `\\` stands in double quotes before a sign that it can't stand before; "
                "write `\\\\` for one `\\`, or use single quotes"
            ],
        ),
        ('a: "x\n---\nb"', ["x.yaml:2:1: a quote is still open at this line of dashes; close it before"]),
        (
            "a: > text",
            ["x.yaml:1:6: `|` or `>` begins a text here; begin the text on the next line, or put it in quotes"],
        ),
        ("a: !b!c d", ["x.yaml:1:4: `!` begins a name here that means nothing; put the text in quotes"]),
        ("%YAML 3.0\n---\na: b", ["x.yaml:1:1: a line with `%` means nothing here; take it out"]),
        (
            "a: b\n... c",
            ["x.yaml:2:5: this can't be read as keys and values; put the text in quotes if it is meant so"],
        ),
        ("a: @x", ["x.yaml:1:4: a text can't begin with this character; put the text in quotes"]),
        ("a: 1\n---\nb: 2", ["x.yaml:2:1: a second document begins here; keep one document in a file"]),
        ("a: *x", ["x.yaml:1:4: `*x` stands here, but no finished `&x` before it; write the value itself"]),
        ("a: &x [*x]", ["x.yaml:1:8: `*x` stands here, but no finished `&x` before it; write the value itself"]),
        (
            "a: !!python/object:os.system x",
            [
                "x.yaml:1:4: the tag `tag:yaml.org,2002:python/object:os.system` stands here; "
                "take it out; values need no tag"
            ],
        ),
        ("? [a]\n: b", ["x.yaml:1:3: this key is no plain text; write a word or a few as the key"]),
        ("a: b\n\0", ["x.yaml:2:1: NUL (U+0000) stands here; take it out; a text file holds none"]),
        ('a: "\\0"', ["x.yaml:1:4: NUL (U+0000) stands in this text; take it out; a text holds none"]),
        (
            'a: "\\ud800"',
            ["x.yaml:1:4: a control character (U+D800) stands in this text; take it out; a text holds none"],
        ),
        (
            'a: "\\U00110000"',
            ["x.yaml: a `\\` or a `%` stands in this file where it means nothing; take it out"],
        ),
        ("a: b\u2028c", ["x.yaml:1:5: LINE SEPARATOR (U+2028) stands here; take it out; a text file holds none"]),
        (
            "a: b\u202ec",
            ["x.yaml:1:5: RIGHT-TO-LEFT OVERRIDE (U+202E) stands here; take it out; a text file holds none"],
        ),
        (
            'a: "\\u2067b"',
            ["x.yaml:1:4: RIGHT-TO-LEFT ISOLATE (U+2067) stands in this text; take it out; a text holds none"],
        ),
        (
            "a: pr\u200bime",
            ["x.yaml:1:6: ZERO WIDTH SPACE (U+200B) stands here; take it out; a text file holds none"],
        ),
        (
            "a: b\U000e0041",
            ["x.yaml:1:5: TAG LATIN CAPITAL LETTER A (U+E0041) stands here; take it out; a text file holds none"],
        ),
        (
            "a: " + "[" * 100_000,
            [f"x.yaml:1:27: more than {MAX_DEPTH} lists and blocks inside one another; write it flatter"],
        ),
        (
            "- " * 30 + "a",
            [f"x.yaml:1:49: more than {MAX_DEPTH} lists and blocks inside one another; write it flatter"],
        ),
    ],
)
def test_what_is_no_plain_yaml_is_refused(text: str, lines: list[str]) -> None:
    """Each mistake has its place, what is wrong, and what would be right."""
    assert faults_of(text) == lines


def test_anchors_that_explode_are_refused() -> None:
    """Nine anchors, each ten times the one before: 10^9 values. Refused at the use that goes beyond the limit."""
    bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
    bomb += "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 9))
    # a3 holds 11 111 values and is counted, a4 would hold 111 111: the limit falls inside line 5.
    (line,) = faults_of(bomb)
    assert line.startswith("x.yaml:5:")
    assert line.endswith(f": more than {MAX_VALUES} values up to here; use fewer aliases, or split the file")


def test_a_dense_file_is_refused() -> None:
    """A file of nothing but values is refused as soon as there are too many."""
    (line,) = faults_of("[" + "a," * MAX_VALUES + "]")
    assert f"more than {MAX_VALUES} values" in line


def test_line_ends_and_the_byte_order_mark(tmp_path: Path) -> None:
    """CRLF, lone CR and a byte order mark change neither the data nor the places."""
    for number, raw in enumerate((b"a: 1\r\nb: 2\r\n", b"a: 1\rb: 2\r", b"\xef\xbb\xbfa: 1\nb: 2\n")):
        path = tmp_path / f"{number}.yaml"
        path.write_bytes(raw)
        data, at = load_yaml(path)
        assert data == {"a": 1, "b": 2}
        assert (at.value(["b"]).line, at.value(["b"]).column) == (2, 4)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        ("a: 1".encode("utf-16"), ": the file is written in UTF-16; save it as UTF-8"),
        ("a: 1".encode("utf-32"), ": the file is written in UTF-32; save it as UTF-8"),
        (b"a: 1\nb: 20 \xb0C\n", ":2:7: the byte 0xb0 is no UTF-8; save the file as UTF-8"),
        (b"a: \x00", ":1:4: NUL (U+0000) stands here; take it out; a text file holds none"),
        (
            b"#" * (1 << 20) + b"##",
            ": the file is larger than 1024 KiB; check that it is the right file, or split it",
        ),
    ],
)
def test_other_encodings_and_large_files_are_refused(tmp_path: Path, raw: bytes, said: str) -> None:
    """A file that is no UTF-8 text of a sensible size is refused with one line."""
    path = tmp_path / "x.yaml"
    path.write_bytes(raw)
    with pytest.raises(InputError) as caught:
        load_yaml(path)
    assert str(caught.value) == f"{path}{said}"


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    """No file, or no file but a folder: one line."""
    for path, said in (
        (tmp_path / "none.yaml", "there is no such file; check the name and the folder"),
        (tmp_path, "this is a folder, no file; name a text file"),
    ):
        with pytest.raises(InputError) as caught:
            load_yaml(path)
        assert str(caught.value) == f"{path}: {said}"


SIGNS = st.text("ab: -\n\t[]{},&*!|>'\"#%@?~\\x0\r é", max_size=60)


@settings(max_examples=500)
@given(SIGNS | st.text(max_size=40))
def test_any_text_is_data_or_faults(text: str) -> None:
    """No text brings the reader to anything but data or InputError, and each fault is one line."""
    try:
        parse_yaml(text, "x.yaml")
    except InputError as error:
        assert error.faults
        assert all("\n" not in str(fault) for fault in error.faults)


@settings(max_examples=200)
@given(raw=st.binary(max_size=60))
def test_any_bytes_are_data_or_faults(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    """No bytes bring the reader to anything but data or InputError."""
    path = tmp_path_factory.getbasetemp() / "bytes.yaml"
    path.write_bytes(raw)
    try:
        load_yaml(path)
    except InputError as error:
        assert error.faults
