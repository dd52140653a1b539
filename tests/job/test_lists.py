# ruff: noqa: E501 - names of the spreadsheet standards
"""Lists as shops have them: what is taken, what is not, and what is asked (all lists invented)."""

import io
import re
import zipfile
from pathlib import Path
from xml.sax.saxutils import escape

import pytest

from balance.errors import InputError
from balance.job.lists import ListRead, match_list
from balance.job.load import read_text
from balance.job.model import Job
from balance.job.tables import read_table

JOB = """\
format = 1
job = {name = "lists"}
engine = {layout = "inline-2", stroke = 80, rod_length = 130, bore_spacing = 90}
parts.pistons = [{mark = "P1"}, {mark = "P2"}]
parts.pins = [{mark = "N1"}, {mark = "N2"}]
parts.rods = [{mark = "R1"}, {mark = "R2"}]
"""


@pytest.fixture
def job() -> Job:
    return read_text(JOB)


def taken(found: ListRead) -> list[tuple[str, str, str]]:
    return [(item.wanted.part, item.wanted.what, item.text) for item in found.taken]


def from_text(tmp_path: Path, job: Job, text: str | bytes, **options: str) -> ListRead:
    path = tmp_path / "list.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    how = {key: options.pop(key) for key in ("delimiter", "decimal") if key in options}
    return match_list(job, read_table(path, **how), **options)


TWO = [("P1", "weight", "420.3 g"), ("P2", "weight", "421.0 g")]
DIALECTS = {
    "comma": "mark,weight\nP1,420.3\nP2,421.0\n",
    "semicolon": "mark;weight\nP1;420.3\nP2;421.0\n",
    "tab": "mark\tweight\nP1\t420.3\nP2\t421.0\n",
    "bar": "mark|weight|\nP1|420.3|\nP2|421.0|\n",
    "spaces after commas": "mark, weight\nP1, 420.3\nP2, 421.0\n",
    "quotes": '"mark","weight"\n"P1","420.3"\n"P2","421.0"\n',
    "windows ends": "mark,weight\r\nP1,420.3\r\nP2,421.0\r\n",
    "old mac ends": "mark,weight\rP1,420.3\rP2,421.0\r",
    "no last end": "mark,weight\nP1,420.3\nP2,421.0",
    "empty lines": "\n\nmark,weight\n\nP1,420.3\n,\nP2,421.0\n\n",
    "no header": "P1,420.3\nP2,421.0\n",
    "header in another order": "weight;mark\n420.3;P1\n421.0;P2\n",
    "titles above": "Engine 7 of May (invented);\n;\nMark;Mass [g]\nP1;420.3\nP2;421.0\n",
    "a comment with commas": "mark;weight;note\nP1;420.3;new, with rings\nP2;421.0;old, cleaned\n",
    "a running number too": "#;part;weight\n1;P1;420.3\n2;P2;421.0\n",
    "the kind as header": "cyl;piston\n1;420.3\n2;421.0\n",
}


@pytest.mark.parametrize("text", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_same_weights(tmp_path: Path, job: Job, text: str) -> None:
    found = from_text(tmp_path, job, text)
    assert taken(found) == TWO
    assert found.left_out == ()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-be", "cp1252"])
def test_encodings(tmp_path: Path, job: Job, encoding: str) -> None:
    mark = "\ufeff" if encoding == "utf-16-be" else ""
    text = f"{mark}Prüfling;mark;weight\nä;P1;420.3\nö;P2;421.0\n"
    assert taken(from_text(tmp_path, job, text.encode(encoding))) == TWO


def test_decimal_commas_where_they_are_clear(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, "mark;weight\nP1;420,3\nP2;421,0\n")
    assert [item.mass_g for item in found.taken] == [420.3, 421.0]
    found = from_text(tmp_path, job, "mark;weight\nP1;1.420,3\nP2;421\n", decimal="comma")
    assert [item.mass_g for item in found.taken] == [1420.3, 421.0]
    found = from_text(tmp_path, job, 'mark,weight\nP1,"1,420.3"\nP2,421\n', decimal="point")
    assert [item.mass_g for item in found.taken] == [1420.3, 421.0]


@pytest.mark.parametrize(
    "text",
    ["420,3\n421,0\n", "P1,420,3\nP2,421,0\n", "mark,weight\nP1,420,3\nP2,421,1\n", "420,3\n"],
)
def test_a_comma_that_may_be_either_is_asked_about(tmp_path: Path, job: Job, text: str) -> None:
    with pytest.raises(InputError, match=r"is '420,3' one number or two\? Say --decimal comma if"):
        from_text(tmp_path, job, text)


def test_the_answer_settles_it(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, "420,3\n421,0\n", decimal="comma", kind="piston")
    assert [item.mass_g for item in found.taken] == [420.3, 421.0]
    found = from_text(tmp_path, job, "P1,420,421\nP2,422,423\n", decimal="point")
    assert [item.mass_g for item in found.taken] == [420, 421, 422, 423]


def test_thousands_that_may_be_decimals_are_not_taken(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, "mark;weight\nP1;1,420\nP2;421.0\n")
    assert taken(found) == TWO[1:]
    assert found.left_out[0].reason == "'1,420' can be read two ways: write 1420 or 1.420"


@pytest.mark.parametrize(
    "header", ["weight (oz)", "weight [oz]", "Weight oz", "mass_oz", "WEIGHT (OZ)"]
)
def test_the_header_names_the_unit(tmp_path: Path, job: Job, header: str) -> None:
    found = from_text(tmp_path, job, f"mark;{header}\nP1;14.8\nP2;420 g\n")
    assert [item.mass_g for item in found.taken] == pytest.approx([14.8 * 28.349523125, 420])


def test_rods_in_three_columns(tmp_path: Path, job: Job) -> None:
    text = "Rod;Total (g);Big end;Small end\nR1;600.1;430.0;170.1\n2;601.0;;170.4\n"
    found = from_text(tmp_path, job, text)
    assert taken(found) == [
        ("R1", "total", "600.1 g"),
        ("R1", "big_end", "430.0 g"),
        ("R1", "small_end", "170.1 g"),
        ("R2", "total", "601.0 g"),
        ("R2", "small_end", "170.4 g"),
    ]


def test_one_row_a_cylinder(tmp_path: Path, job: Job) -> None:
    text = "cyl;piston;pin;big end;small end\n1;420.3;110.1;430.0;170.1\n2;421.0;110.2;431;170\n"
    found = from_text(tmp_path, job, text)
    assert [item.wanted.label for item in found.taken][:4] == [
        "piston P1",
        "pin N1",
        "rod R1 big end",
        "rod R1 small end",
    ]
    assert len(found.taken) == 8


@pytest.mark.parametrize("title", ["Piston pin", "piston pins (g)", "Wrist pin", "Gudgeon pin"])
def test_a_piston_pin_is_a_pin(tmp_path: Path, job: Job, title: str) -> None:
    found = from_text(tmp_path, job, f"cyl;piston;{title}\n1;420.3;110.1\n2;421.0;110.2\n")
    assert [part for part, *_ in taken(found)] == ["P1", "N1", "P2", "N2"]


def test_what_is_not_taken_is_named(tmp_path: Path, job: Job) -> None:
    text = "Set A;\nmark;weight\nP1;420.3\nP7;421\n;422\nP2;heavy\nR1;600\nAverage;421\nP2;1;2;3\n"
    found = from_text(tmp_path, job, text)
    assert taken(found) == TWO[:1]
    assert [(item.row, item.reason) for item in found.titles] == [(1, "stands above the header")]
    assert [(item.row, item.reason) for item in found.left_out] == [
        (4, "'P7' is no part of this job"),
        (5, "has no mark in its row"),
        (6, "'heavy' is not a mass: write 420.3 g or 14.824 oz"),
        (7, "of 'R1' a list must say total or big_end or small_end, its column says weight"),
        (8, "'Average' is no part of this job"),
        (9, "has more cells than the header has columns"),
    ]


@pytest.mark.parametrize(
    "header", ["Part;Average (g)", "Teil;Gewicht", "Made up by us;\nPart;Grams, avg"]
)
def test_a_header_is_no_row_that_is_left_out(tmp_path: Path, job: Job, header: str) -> None:
    found = from_text(tmp_path, job, f"{header}\nP1;420.3\nP2;421.0\n")
    assert taken(found) == TWO
    assert found.left_out == ()
    assert found.columns[0].endswith(": the marks")
    assert found.columns[0].startswith(header.rpartition("\n")[2].partition(";")[0])


@pytest.mark.parametrize(
    "text",
    [
        "Part no.;Weight\nP1;420,3\nP2;421,0\n",
        "Piston no.;Weight (g);Remark\nP1;420,3;\nP2;421,0;new\n",
        "Piston no.;Weight\n1;420,3\n2;421,0\n",
        "Piston;Weight\n1;420,3\n2;421,0\n",
        "Piston number;Average\n1;420,3\n2;421,0\n",
    ],
)
def test_marks_by_other_titles(tmp_path: Path, job: Job, text: str) -> None:
    found = from_text(tmp_path, job, text)
    assert [(part, g.replace(",", ".")) for part, _, g in taken(found)] == [
        (part, g) for part, _, g in TWO
    ]
    assert found.left_out == ()


def test_a_number_of_one_kind_stands_for_the_others_of_its_row(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, "Piston no;Piston;Pin\n1;420.3;110.1\n2;421.0;110.2\n")
    assert [part for part, *_ in taken(found)] == ["P1", "N1", "P2", "N2"]


def test_a_list_without_a_column_of_weights_says_so(tmp_path: Path, job: Job) -> None:
    with pytest.raises(InputError, match="no title says where the weights are: call their column"):
        from_text(tmp_path, job, "Piston no.;Gramm;Remark\nP1;420,3;\nP2;421,0;new\n")


AVERAGES = """\
Sent by a supplier that is made up;
Item;Average (g)
Piston;420.3
Ring set;38.2
Circlips (pair);2.1
Circlip;1.05
Rod bearings;41.0
"""


def test_rings_locks_and_shells_of_a_list_of_averages(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, AVERAGES)
    assert taken(found) == [
        ("rings", "weight", "38.2 g"),
        ("locks", "weight", "2.1 g"),
        ("shells", "weight", "41.0 g"),
    ]
    assert [(item.row, item.reason) for item in found.left_out] == [
        (3, "which piston? Give its mark: an average is no weighing of one"),
        (6, "is it one of several? Name it locks, with what all of them weigh together"),
    ]
    cut = match_list(job, read_table(tmp_path / "list.csv"), finished=True)
    assert cut.taken == ()
    assert cut.left_out[1].reason == "rings are not cut: take them without --finished"


def test_rings_locks_and_shells_in_columns(tmp_path: Path, job: Job) -> None:
    text = (
        "Cyl;Piston;Piston rings;Pin locks;Shells\n1;420.3;38.2;2.1;41\n2;421.0;38.3;;41.1\n"
        "Average;;38.25;;\nTotal;841.3;76.5;2.1;82.1\n"
    )
    found = from_text(tmp_path, job, text)
    assert [(part, text) for part, _, text in taken(found)] == [
        ("P1", "420.3 g"),
        ("rings", "38.2 g"),
        ("locks", "2.1 g"),
        ("shells", "41 g"),
        ("P2", "421.0 g"),
        ("rings", "38.3 g"),
        ("shells", "41.1 g"),
        ("rings", "38.25 g"),
    ]
    assert [item.reason for item in found.left_out] == ["'Total' is no part of this job"]


def test_what_needs_no_mark_may_be_named_in_any_cell(tmp_path: Path, job: Job) -> None:
    found = from_text(tmp_path, job, "kind;mark;weight\npiston;P1;420.3\nrings;;38.2\n")
    assert [part for part, *_ in taken(found)] == ["P1", "rings"]


def test_a_part_that_is_called_rings_is_that_part(tmp_path: Path) -> None:
    named = read_text(JOB.replace('"N1"', '"rings"'))
    found = from_text(tmp_path, named, "mark;weight\nrings;110.1\n")
    assert [item.wanted.kind for item in found.taken] == ["pin"]


def test_lists_without_marks(tmp_path: Path, job: Job) -> None:
    assert taken(from_text(tmp_path, job, "420.3\n421.0\n", kind="piston")) == TWO
    found = from_text(tmp_path, job, "600.1\n600.2\n", kind="rod", what="total")
    assert [item.wanted.label for item in found.taken] == ["rod R1 total", "rod R2 total"]
    with pytest.raises(InputError, match="the list has no marks: say whose weights they are with"):
        from_text(tmp_path, job, "420.3\n421.0\n")
    with pytest.raises(
        InputError, match="the list has 3 weights without marks for 2 pistons: give"
    ):
        from_text(tmp_path, job, "420.3\n421.0\n422\n", kind="piston")
    with pytest.raises(
        InputError, match="the list has no column of marks: give every row the mark"
    ):
        from_text(tmp_path, job, "420.3;421.0\n422;423\n", kind="piston")


def test_the_same_list_twice_adds_nothing(tmp_path: Path, job: Job) -> None:
    text = "P1,420.3\nP1,420.3\nP2,421.0\n"
    entry = '[[weighings]]\npart = "P1"\nvalue = "420.3 g"\ninstrument = "list a"\n'
    twice = from_text(tmp_path, read_text(JOB + entry), text, instrument="list a")
    assert taken(twice) == TWO
    assert [item.reason for item in twice.left_out] == ["is in the job from this list"]


def test_a_job_without_parts_cannot_take_weights(tmp_path: Path) -> None:
    empty = read_text(JOB.partition("parts.")[0])
    with pytest.raises(InputError, match="the job has no parts yet: write their marks first"):
        from_text(tmp_path, empty, "P1,420.3\n")


def xlsx(rows: list[list[object]], *more: list[list[object]]) -> bytes:
    """Return the smallest workbook that ECMA-376 allows, one sheet for each table."""
    tables = [rows, *more]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        kinds = "".join(
            f'<Override PartName="/xl/worksheets/sheet{i}.xml" ContentType="application/vnd.'
            'openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
            for i in range(1, len(tables) + 1)
        )
        main = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
        book.writestr(
            "[Content_Types].xml",
            '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default '
            'Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"'
            f'/><Override PartName="/xl/workbook.xml" ContentType="{main}"/>{kinds}</Types>',
        )
        office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
        package = "http://schemas.openxmlformats.org/package/2006/relationships"
        book.writestr(
            "_rels/.rels",
            f'<Relationships xmlns="{package}"><Relationship Id="r1" Type="{office}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>',
        )
        spread = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
        sheets = "".join(
            f'<sheet name="S{i}" sheetId="{i}" r:id="r{i}"/>' for i in range(1, len(tables) + 1)
        )
        book.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{spread}" xmlns:r="{office}"><sheets>{sheets}</sheets></workbook>',
        )
        links = "".join(
            f'<Relationship Id="r{i}" Type="{office}/worksheet" Target="worksheets/sheet{i}.xml"/>'
            for i in range(1, len(tables) + 1)
        )
        book.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{package}">{links}</Relationships>',
        )
        for index, table in enumerate(tables, 1):
            body = "".join(
                f'<row r="{r}">{"".join(_cell(r, c, v) for c, v in enumerate(row))}</row>'
                for r, row in enumerate(table, 1)
            )
            merged = '<mergeCells count="1"><mergeCell ref="A1:B1"/></mergeCells>'
            book.writestr(
                f"xl/worksheets/sheet{index}.xml",
                f'<worksheet xmlns="{spread}"><sheetData>{body}</sheetData>{merged}</worksheet>',
            )
    return out.getvalue()


def _cell(row: int, column: int, value: object) -> str:
    if value is None:
        return ""
    place = f"{chr(65 + column)}{row}"
    if isinstance(value, str):
        return f'<c r="{place}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'
    return f'<c r="{place}"><v>{value}</v></c>'


def ods(rows: list[list[object]]) -> bytes:
    """Return the smallest spreadsheet that OpenDocument 1.2 allows."""
    office = "urn:oasis:names:tc:opendocument:xmlns:office:1.0"
    body = ""
    for row in rows:
        body += "<table:table-row>"
        for value in row:
            if isinstance(value, str):
                body += (
                    '<table:table-cell office:value-type="string"><text:p>'
                    f"{escape(value)}</text:p></table:table-cell>"
                )
            elif value is None:
                body += "<table:table-cell/>"
            else:
                body += f'<table:table-cell office:value-type="float" office:value="{value}"/>'
        body += "</table:table-row>"
    out = io.BytesIO()
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    listed = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    with zipfile.ZipFile(out, "w") as book:
        book.writestr("mimetype", kind)
        book.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{listed}"><manifest:file-entry '
            f'manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>',
        )
        book.writestr(
            "content.xml",
            f'<office:document-content xmlns:office="{office}" '
            'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
            'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body>'
            f'<office:spreadsheet><table:table table:name="S1">{body}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        )
    return out.getvalue()


ROWS: list[list[object]] = [
    ["Weights of May (invented)", None],
    [None, None],
    ["Mark", "Weight (g)"],
    ["P1", 420.3],
    ["P2", "421.0 g"],
    ["Average", 420.65],
]


@pytest.mark.parametrize(("name", "data"), [("a.xlsx", xlsx(ROWS)), ("a.ods", ods(ROWS))])
def test_spreadsheets(tmp_path: Path, job: Job, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    found = match_list(job, read_table(path))
    assert taken(found) == TWO
    assert [item.row for item in found.taken] == [4, 5]
    assert [item.row for item in (*found.titles, *found.left_out)] == [1, 6]


def test_numbers_of_a_sheet_are_what_people_see(tmp_path: Path, job: Job) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(xlsx([["mark", "weight"], ["P1", 420.30000000000007], ["P2", 421]]))
    assert taken(match_list(job, read_table(path)))[0][2] == "420.3 g"


def test_a_spreadsheet_of_several_sheets_is_asked_about(tmp_path: Path, job: Job) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(xlsx(ROWS, [["other", 1]], []))
    with pytest.raises(InputError, match="which sheet\\? Say --sheet with one of S1, S2"):
        read_table(path)
    assert taken(match_list(job, read_table(path, sheet="S1"))) == TWO
    with pytest.raises(InputError, match="has no sheet 'S9'; there are S1, S2, S3"):
        read_table(path, sheet="S9")


@pytest.mark.parametrize("name", ["a.xlsx", "a.ods"])
@pytest.mark.parametrize("data", [b"", b"PK\x03\x04 broken", b"mark;weight\n", xlsx(ROWS)[:900]])
def test_broken_spreadsheets(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(InputError, match=f"{name}: cannot be read as a spreadsheet"):
        read_table(path)


def far(name: str) -> bytes:
    """Return a small file whose one far cell makes a table of thousands of millions of cells."""
    out = io.BytesIO()
    if name.endswith(".xlsx"):
        whole, old, new = xlsx(ROWS), b'r="B4"', b'r="XFD1048576"'
    else:
        whole = ods(ROWS)
        old, new = b"<table:table-row>", b'<table:table-row table:number-rows-repeated="900000">'
    with zipfile.ZipFile(io.BytesIO(whole)) as book, zipfile.ZipFile(out, "w") as made:
        for member in book.namelist():
            made.writestr(member, book.read(member).replace(old, new))
    return out.getvalue()


@pytest.mark.parametrize("name", ["a.xlsx", "a.ods"])
def test_a_cell_at_the_far_corner_is_refused_before_it_is_read(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(far(name))
    with pytest.raises(InputError, match="has a sheet of too many cells for a list of weights"):
        read_table(path)


def test_a_small_zip_of_a_large_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("xl/workbook.xml", b" " * 60_000_000)
    with pytest.raises(InputError, match="unpacks to more than 50 MB: this is no list of weights"):
        read_table(path)


def test_files_that_are_no_lists(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read: No such file"):
        read_table(tmp_path / "gone.csv")
    with pytest.raises(InputError, match="is larger than 20 MB: this is no list of weights"):
        read_table(Path("/dev/zero"))
    picture = tmp_path / "a.csv"
    picture.write_bytes(b"\x89PNG\r\n\x00\x00\x00\x01")
    with pytest.raises(InputError, match="is no text: save the list as CSV, XLSX or ODS"):
        read_table(picture)
    picture.write_bytes(b"P1," + b"9" * 200_000)
    with pytest.raises(InputError, match="cannot be read as a list: field larger than"):
        read_table(picture)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"delimiter": "dot"}, "delimiter must be one of tab, semicolon, comma, bar, got 'dot'"),
        ({"decimal": "dot"}, "decimal must be point or comma, got 'dot'"),
    ],
)
def test_options_that_are_none(options: dict[str, str], message: str) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        read_table(Path("a.csv"), **options)
