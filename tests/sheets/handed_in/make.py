"""Makes the sheets in this folder: what people hand in, all invented. Run as `python tests/sheets/handed_in/make.py`.

What must come of each stands beside it in NAME.expect.toml, written by hand.
"""

import io
import re
import sys
import zipfile
from collections.abc import Callable
from datetime import datetime, time
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[2]))

TEXTS: dict[str, str | bytes] = {
    # How the file is written.
    "plain.csv": "tag,gold_mg,tails_gold_mg\nHTK,31,4\nNDF,47.5,0\nCDP,,\n",
    "bom.csv": b"\xef\xbb\xbf" + b"tag,gold_mg,note\r\nHTK,31,caf\xc3\xa9 stop\r\n",
    "utf16.txt": "tag\tgold_mg\ttemp_c\nHTK\t31,5\t12 °C\n".encode("utf-16"),
    "cp1252.csv": "Tag;Temp;Note\nHTK;12,5 °C;drüben\n".encode("cp1252"),
    "damaged.csv": b"tag,gold_mg,note\nHTK,31,dr\xc3\xbcben\nNDF,47,caf\xe9\n",
    "semicolons.csv": "tag;gold_mg;black_sand_g;minutes\nHTK;31,5;6,4;9,5\nNDF;1,234;12,1;10\n",
    "tabs.tsv": "tag\tgold_mg\tblack_sand_g\nHTK\t31.5\t6.4\n",
    "strokes.txt": "tag|gold_mg|note\nHTK|31|ok, well; yes\n",
    "sep-line.csv": "sep=;\ntag;gold_mg\nHTK;31,5\n",
    "titled.csv": "Ossel Creek mats,,\n\nmeasured at the dry table,,\ntag,gold_mg,black_sand_g\nHTK,31,6.4\n",
    "run-above.csv": "tag,gold mg black_sand_g\nHTK,31,6.4\ntag,gold_mg,black_sand_g\nNDF,47,12.1\n",
    "short-row.csv": "tag,gold_mg,black_sand_g\nHTK,31,6.4\nNDF,47\n",
    "stray-quote.csv": 'tag,gold_mg,note\nHTK,31,"over 2" screen\nNDF,47,\n',
    "swallowed.csv": 'tag,gold_mg,note\nHTK,31,"lost a jar\nNDF,47,\nCDP,12,found it"\nJLC,30,\n',
    "nul.csv": b"tag,gold_mg\nHTK,3\x001\n",
    "control.csv": "tag,gold_mg,note\nHTK,31,ring\x07ring\n",
    "no-table.csv": "31,6.4,9.5\n47,12.1,10\n",
    "empty.csv": "\n\n",
    "picture.csv": b"\x89PNG\r\n\x1a\n\x00\x00",
    "other-trial.csv": "# trial: elsewhere\ntag,gold_mg\nHTK,31\n",
    "comment-rows.csv": "# trial: mats\ntag,gold_mg\n# after lunch\nHTK,31\n",
    # Numbers.
    "units-in-cells.csv": (
        "tag,Gold,Temp,Water,Time,fed_g\nHTK,0.031 g,12 °C,8 L/min,9.5 min,10 kg\nNDF,47 mg,54 F,8 L/min,570 s,9.9 kg\n"
    ),
    "unit-gr.csv": "tag,gold_mg\nHTK,0.5 gr\n",
    "unit-oz.csv": "tag,gold_mg,fed oz\nHTK,0.5 oz,3\n",
    "no-unit.csv": "tag,gold,water\nHTK,31,8\n",
    "comma-in-commas.csv": 'tag,gold_mg\nHTK,"0,134"\n',
    "unquoted-comma.csv": "tag,gold_mg,black_sand_g\nHTK,0,134,6.4\n",
    "in-doubt.csv": 'tag,gold_mg,fed_g\nHTK,31,"1,234"\n',
    "in-doubt-semicolons.csv": "tag;gold_mg;fed_g\nHTK;9.5;1,234\n",
    "point-alone.csv": "tag;gold_mg;fed_g\nHTK;31;1.234\n",
    "point-told.csv": "tag;gold_mg;fed_g\nHTK;0.031 g;1.234\n",
    "point-in-doubt.csv": "tag;gold_mg;fed_g\nHTK;31,5;1.234\n",
    "thousands.csv": 'tag,gold_mg,fed_g\nHTK,"1,234.5","1,234,500"\nNDF,47,"2.234,5"\n',
    "apostrophes.csv": "tag,gold_mg,fed_g\nHTK,1'234.5,10’000\nNDF,47,10\u00a0000\n",  # noqa: RUF001 - as a Swiss sheet has it
    "spaced.csv": "tag,gold_mg,fed_g\nHTK,31,10 000\n",
    "exponent.csv": "tag,gold_mg\nHTK,1E5\nNDF,1.2E+02\n",
    "made-a-date.csv": "tag,gold_mg,minutes\nHTK,02-Jan,9.5\nNDF,47,8.5.2026\n",
    "range.csv": "tag,gold_mg\nHTK,1-2\n",
    "clock.csv": "tag,minutes\nHTK,9:30\n",
    "words.csv": "tag,gold_mg\nHTK,n/a\nNDF,-\nCDP,none\nJLC,trace\n",
    "ditto.csv": 'tag,gold_mg\nHTK,31\nNDF,""""\n',
    "about.csv": "tag,gold_mg\nHTK,~31\nNDF,<1\n",
    "signs.csv": "tag,pitch_deg,gold_mg\nHTK,−1.5,31\nNDF,7,-2\n",  # noqa: RUF001 - the minus sign of typesetting
    "out-of-range.csv": "tag,temp_c,minutes\nHTK,120,9.5\nNDF,12,0\n",
    "formula-text.csv": "tag,gold_mg,note\nHTK,=B3-C3,=cmd|' /C calc'!A0\n",
    "guarded.csv": "tag,gold_mg,note\nHTK,31,'=1+1\nNDF,47,''tis\n",
    "gross-tare.csv": "Tag;Gold gross (g);Gold tare (g)\nHTK;12,231;12,2\n",
    "gross-under-tare.csv": "tag,sand gross g,sand tare g\nHTK,12.2,18.6\n",
    "other-unit-headings.csv": "tag,gold_g,fed lb,water gpm us,temp F\nHTK,0.031,22,2,54\n",
    # Headings.
    "synonyms.csv": "Tag No.,Weight gold mg,Au tails (mg),Sand g,Water L/min,Time min,Comments\nHTK,31,4,6.4,8,9.5,ok\n",
    "capitals.csv": 'TAG,"GOLD\n(mg)",[Black Sand] (g),STRIPPED?\nHTK,31,6.4,X\nNDF,47,12.1,No\n',
    "two-rows.csv": ",Gold (mg),,Water (L/min),\nTag,kept,in tails,start,end\nHTK,31,4,8,7.9\n",
    "units-row.csv": "Tag,Gold,Sand,Time\n,mg,g,min\nHTK,31,6.4,9.5\n",
    "unknown-column.csv": "tag,gold_mg,weather\nHTK,31,rain\n",
    "empty-column.csv": "tag,gold_mg,weather,\nHTK,31,,\n",
    "near-column.csv": "tag,gold_mgs\nHTK,31\n",
    "said-twice.csv": "tag,gold_mg,Gold (g)\nHTK,31,0.031\n",
    "same-heading.csv": "tag,gold_mg,gold_mg\nHTK,31,32\n",
    "feed-in-doubt.csv": "tag,gold_mg,feed\nHTK,31,10 kg\n",
    "gold-grains.csv": "tag,gold grains\nHTK,31\n",
    "no-names.csv": "gold_mg,black_sand_g,minutes\n31,6.4,9.5\n",
    "no-heading.csv": "tag,,gold_mg\nHTK,9.5,31\n",
    # Rows.
    "totals.csv": "tag,gold_mg\nHTK,31\n\nNDF,47\n,\nTOTAL,78\nMean (mg),39\nSD,11.3\n",
    "repeated-heading.csv": "tag,gold_mg\nHTK,31\ntag,gold_mg\nNDF,47\n",
    "nameless-row.csv": "tag,gold_mg\nHTK,31\n,47\n",
    "wrong-tag.csv": "tag,gold_mg\nHTJ,31\nNDF,47\n",
    "tag-of-another.csv": "tag,gold_mg\nHCH,31\n",
    "tag-twice.csv": "tag,gold_mg\nHTK,31\nNDF,47\nHTK,33\n",
    "small-letters.csv": "tag,gold_mg\n htk ,31\n",
    "tag-against-pair.csv": "tag,pair,arm,gold_mg\nHTK,2,baseline,31\n",
    "own-words.csv": "Pair,Set-up,Gold mg\n1,Ribbed,31\n1,LOOPED,47\n",
    "unknown-arm.csv": "pair,arm,gold_mg\n1,A,31\n1,chnged,47\n",
    "new-run.csv": "pair,arm,turn,gold_mg\n3,baseline,5,31\n",
    "turn-twice.csv": "pair,arm,turn,gold_mg\n3,baseline,4,31\n",
    "run-is-tag.csv": "Run,gold_mg\nHTK,31\n",
    "run-in-doubt.csv": "Run,gold_mg\n1,31\n2,47\n",
    "audit.csv": "Run no,seeded 20/30,kept 20/30,in tails 20/30,seeded -100,kept -100,in tails -100\n1,25,24,1,25,16,8\n",
    "classes.csv": "tag,Grains (+20 mesh),20/30 grains,50/100 grains,black_sand_g\nHTK,3,10,18,6.4\nNDF,,12,20,\n",
    "no-main-class.csv": "tag,grains +20\nHTK,3\n",
    "too-many-kept.csv": "Run no,seeded,kept\n1,25,27\n",
    "zeros-kept.csv": "tag,gold_mg\n007,31\n1E5,32\n1-2,33\nB-4,34\n",
    "zeros-lost.csv": "tag,gold_mg\n7,31\n1.00E+05,32\n02-Jan,33\n",
    # Words and days.
    "day-in-doubt.csv": "tag,session,gold_mg\nHTK,5/1/2026,31\nNDF,05.01.2026 am,47\n",
    "days.csv": "tag,Date,gold_mg\nHTK,13/5/2026 am,31\nNDF,3 May 2026,47\nCDP,2026-05-03 pm,12\nJLC,5/5/2026,9\n",
    "no-such-day.csv": "tag,session,gold_mg\nHTK,31/02/2026,31\nNDF,3-May,47\nCDP,3/5/26,12\n",
    "yes-no.csv": "tag,stripped,magnet,dry\nHTK,x,TRUE,Yes\nNDF,NO,maybe,1\n",
    "void.csv": "tag,void,gold known?,gold_mg\nHTK,spill,yes,31\nNDF,,yes,47\n",
    "role.csv": "tag,panner,gold_mg\nHTK,Anna,31\n",
    # Again.
    "half-good.csv": "tag,gold_mg,temp_c\nHTK,31,12\nNDF,4 7,12\nCDP,33,120\nHCH,9,12\nJLC,30,11\n",
    "filled-up.csv": "tag,gold_mg,black_sand_g,note\nHTK,31,,\nCDP,40,11,\n",
    "changed-value.csv": "tag,gold_mg,black_sand_g,note\nHTK,33,6.4,first of the day\nNDF,47,12.4,\n",
}


def book(rows: list[list[Any]]) -> Any:
    """A workbook with one sheet of these rows."""
    made = openpyxl.Workbook()
    for row in rows:
        made.active.append(row)
    return made


def plain(made: Any) -> bytes:
    """The bytes of a workbook."""
    made.properties.created = made.properties.modified = datetime(2026, 5, 3)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def rewritten(content: bytes, change: Callable[[str], str] = str, sheet: str = "xl/worksheets/sheet1.xml") -> bytes:
    """The same workbook packed with one fixed date, one of its sheets changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in sorted(old.namelist()):
            data = old.read(name)
            if name == sheet:
                data = change(data.decode()).encode()
            if name == "docProps/core.xml":
                data = re.sub(rb"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z", b"2026-05-03T00:00:00Z", data)
            new.writestr(zipfile.ZipInfo(name, (2026, 5, 3, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def with_results(content: bytes, results: dict[str, str], kind: str = "") -> bytes:
    """The workbook as a spreadsheet saves it: the last result beside each formula."""

    def change(text: str) -> str:
        for cell, result in results.items():
            found = re.compile(rf'<c r="{cell}"([^>]*)><f>([^<]*)</f><v ?/?>(</v>)?</c>')
            assert found.search(text), cell
            text = found.sub(rf'<c r="{cell}"\1{kind}><f>\2</f><v>{result}</v></c>', text)
        return text

    return rewritten(content, change)


def formatted(rows: list[list[Any]], cell: str, form: str) -> Any:
    """A workbook in which one cell has a number format of its own."""
    made = book(rows)
    made.active[cell].number_format = form
    return made


def hidden() -> Any:
    """A hidden row and a hidden column with values."""
    made = book([["tag", "gold_mg", "black_sand_g"], ["HTK", 31, 6.4], ["NDF", 47, 12.1]])
    made.active.row_dimensions[3].hidden = True
    made.active.column_dimensions["C"].hidden = True
    return made


def sheets(*tables: tuple[str, list[list[Any]]]) -> Any:
    """A workbook of several sheets."""
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in tables:
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(row)
    return made


def merged(rows: list[list[Any]], *areas: str) -> Any:
    """A workbook with merged cells."""
    made = book(rows)
    for area in areas:
        made.active.merge_cells(area)
    return made


def mac_dates() -> Any:
    """Days counted from 1904."""
    made = openpyxl.Workbook()
    made.epoch = CALENDAR_MAC_1904
    for row in [["tag", "session", "gold_mg"], ["HTK", datetime(2026, 5, 3), 31]]:
        made.active.append(row)
    return made


def far_away() -> Any:
    """A table with one stray cell at the far end of the sheet."""
    made = book([["tag", "gold_mg"], ["HTK", 31]])
    made.active["XFD1048576"] = "x"
    return made


def as_text(rows: list[list[Any]]) -> Any:
    """A workbook in which all is kept as text, formulas too."""
    made = book(rows)
    for row in made.active.iter_rows():
        for cell in row:
            if cell.value is not None:
                cell.value = str(cell.value)
                cell.data_type = "s"
    return made


def our_own(for_panner: bool) -> bytes:
    """Our own sheet of the plan `mats`, filled."""
    from trials.files.folder import read_folder
    from trials.sheets.spreadsheet_out import write_sheet

    path = HERE / "own.part.xlsx"
    write_sheet(read_folder(HERE / "plans" / "mats"), path, for_panner=for_panner, over=True)
    made = openpyxl.load_workbook(path)
    path.unlink()
    sheet = made["runs"]
    at = {cell.value: cell.column for cell in sheet[1]}
    for line in range(2, 4):
        for name, value in {"gold_mg": 30 + line, "dry": "yes", "black_sand_g": 6.5, "note": "1-2"}.items():
            sheet.cell(line, at[name]).value = value
    return plain(made)


def an_open_document() -> bytes:
    """What another office program writes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        made.writestr(
            zipfile.ZipInfo("mimetype", (2026, 5, 3, 0, 0, 0)), "application/vnd.oasis.opendocument.spreadsheet"
        )
    return out.getvalue()


GOLD = ["tag", "gold_mg"]
NET = [["tag", "gross", "tare", "gold_mg"], ["HTK", None, None, "=1000*(12.231-12.2)"]]
SUMS = [[*GOLD, "black_sand_g"], ["HTK", 31, 6.4], ["NDF", 47, 12.1], [None, "=SUM(B2:B3)", "=AVERAGE(C2:C3)"]]
BOOKS: dict[str, Any] = {
    "book.xlsx": lambda: book(
        [[*GOLD, "stripped", "session"], ["HTK", 31.25, True, "2026-05-03 am"], ["NDF", 47, False]]
    ),
    "numbers-as-text.xlsx": lambda: as_text([[*GOLD, "grains"], ["HTK", "31.5", "12"], ["NDF", "0,5", "7"]]),
    "days.xlsx": lambda: book(
        [
            [*GOLD, "Date"],
            ["HTK", 31, datetime(2026, 5, 3)],
            ["NDF", 47, datetime(2026, 5, 3, 14, 30)],
            ["CDP", 9, 46143],
        ]
    ),
    "mac-days.xlsx": mac_dates,
    "date-in-gold.xlsx": lambda: book([GOLD, ["HTK", datetime(2026, 2, 1)]]),
    "date-in-note.xlsx": lambda: book([[*GOLD, "note"], ["HTK", 31, datetime(2026, 2, 1)]]),
    "clock.xlsx": lambda: book([["tag", "minutes"], ["HTK", time(9, 30)]]),
    "results.xlsx": lambda: with_results(
        plain(book([[*GOLD, "note"], ["HTK", "=62/2", '="lost "&"a jar"'], ["NDF", "=47", None]])),
        {"B2": "31", "B3": "47"},
    ),
    "results-text.xlsx": lambda: with_results(
        plain(book([[*GOLD, "note"], ["HTK", 31, '=IF(B2>40,"rich","")']])), {"C2": ""}, ' t="str"'
    ),
    "never-calculated.xlsx": lambda: book([GOLD, ["HTK", "=62/2"], ["NDF", 47]]),
    "error.xlsx": lambda: with_results(plain(book([GOLD, ["HTK", "=1/0"]])), {"B2": "#DIV/0!"}, ' t="e"'),
    "hidden.xlsx": hidden,
    "one-of-two.xlsx": lambda: sheets(("plan", [["how it went"], ["well"]]), ("data", [GOLD, ["HTK", 31]])),
    "two-of-two.xlsx": lambda: sheets(("monday", [GOLD, ["HTK", 31]]), ("tuesday", [GOLD, ["NDF", 47]])),
    "merged-heading.xlsx": lambda: merged(
        [["Tag", "Gold (mg)", None, "Sand"], [None, "kept", "in tails", "(g)"], ["HTK", 31, 4, 6.4]], "A1:A2", "B1:C1"
    ),
    "merged-pairs.xlsx": lambda: merged(
        [["pair", "arm", "gold_mg"], [1, "baseline", 31], [None, "changed", 47]], "A2:A3"
    ),
    "merged-gold.xlsx": lambda: merged(
        [["pair", "arm", "gold_mg"], [1, "baseline", 31], [1, "changed", None]], "C2:C3"
    ),
    "sums.xlsx": lambda: with_results(plain(book(SUMS)), {"B4": "78", "C4": "9.25"}),
    "unit-in-format.xlsx": lambda: formatted([GOLD, ["HTK", 0.031]], "B2", '0.000" g"'),
    "percent.xlsx": lambda: formatted([["tag", "pitch"], ["HTK", 0.05]], "B2", "0%"),
    "exponent.xlsx": lambda: formatted([GOLD, ["HTK", 100000]], "B2", "0.00E+00"),
    "money.xlsx": lambda: formatted([GOLD, ["HTK", 31]], "B2", "$#,##0.00"),
    "zeros-lost.xlsx": lambda: book([GOLD, [7, 31], [100000, 32], [datetime(2026, 2, 1), 33]]),
    "number-in-note.xlsx": lambda: book([[*GOLD, "note"], ["HTK", 31, 100000], ["NDF", 47, True]]),
    "text-formulas.xlsx": lambda: as_text([[*GOLD, "note"], ["HTK", 31, "'=1+1"], ["NDF", 47, "=2+2"]]),
    "own.xlsx": lambda: our_own(False),
    "own-panner.xlsx": lambda: our_own(True),
    "far-away.xlsx": far_away,
    "empty.xlsx": openpyxl.Workbook,
    "no-heading.xlsx": lambda: book([["tag", None, "gold_mg"], ["HTK", 9.5, 31]]),
    "no-book.xlsx": lambda: b"tag,gold_mg\nHTK,31\n",
    "old.xls": lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(100),
    "open.ods": an_open_document,
    "cut.xlsx": lambda: rewritten(plain(book([GOLD, ["HTK", 31]])))[:2000],
    "blank-rows.xlsx": lambda: book(
        [[], ["Mats on Ossel Creek"], [], GOLD, ["HTK", 31], [], ["NDF", 47], ["Total", 78], []]
    ),
}


def main() -> None:
    """Write every sheet."""
    for name, text in TEXTS.items():
        (HERE / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    for name, make in BOOKS.items():
        made = make()
        content = made if isinstance(made, bytes) else plain(made)
        is_whole = content.startswith(b"PK") and name not in ("cut.xlsx", "open.ods")
        (HERE / name).write_bytes(rewritten(content) if is_whole else content)


if __name__ == "__main__":
    main()
