"""The sheet to fill as a workbook: drop-downs, limits, prompts, a frozen heading, one page wide; and how to fill it."""

import io
from collections.abc import Mapping, Sequence
from math import ceil
from pathlib import Path
from types import MappingProxyType
from typing import Any

from schemas import Record, Run
from trials.files.grid import letters
from trials.files.table import NOTHING, guarded, unguarded
from trials.sheets.form import AskedColumn, arm_texts, is_spare, texts_of
from trials.sheets.workbook import TRIAL_NAME, escaped_text, workbook_library

SHEET = "runs"
HOW = "how to fill"
INK, SAND, FONT = "4F6272", "F0E7D3", "Arial"
SPARE_GROUND = "E4E1DB"
WIDEST_ARM = 30
WIDTHS: Mapping[str, float] = MappingProxyType(
    {"turn": 5, "pair": 5, "tag": 7, "session": 14, "void": 13, "note": 24, "feeder": 5, "panner": 5, "fed_lot": 12}
)
HOW_WIDTHS = (24, 62, 40)
MOST_LISTED = 250  # letters that a drop-down may have in its own rule
LONGEST_PROMPT = 250


def workbook_bytes(
    record: Record, runs: Sequence[Run], columns: Sequence[AskedColumn], path: Path, *, for_panner: bool
) -> bytes:
    """Make the workbook; `path` is what to call it, should the library be missing."""
    parts = workbook_library(path)
    book = parts.Workbook()
    book.properties.creator = "samedirt"
    book.properties.title = record.trial.name
    sheet = book.active
    sheet.title = SHEET
    for index, column in enumerate(columns):
        _heading(sheet, index, column, parts)
    for line, run in enumerate(runs, start=2):
        texts = texts_of(run, record.trial)
        is_grey = not for_panner and is_spare(run, record.trial)
        for index, column in enumerate(columns):
            cell = sheet.cell(line, index + 1)
            _fill(cell, column, texts.get(column.header), parts)
            if is_grey:
                cell.fill = parts.styles.PatternFill("solid", fgColor=SPARE_GROUND)
    how = book.create_sheet(HOW)
    _how_to_fill(how, record, columns, parts, for_panner=for_panner)
    for index, column in enumerate(columns):
        _rule(sheet, index, column, len(runs) + 1, how, parts)
    _lay_out(sheet, columns, record, for_panner=for_panner)
    name = parts.workbook.defined_name.DefinedName(TRIAL_NAME, attr_text=f'"{record.trial.name}"', hidden=True)
    book.defined_names[TRIAL_NAME] = name
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _heading(sheet: Any, index: int, column: AskedColumn, parts: Any) -> None:  # noqa: ANN401 - a library without types
    cell = sheet.cell(1, index + 1)
    _as_text(cell, column.header)
    cell.font = parts.styles.Font(name=FONT, bold=True, color=INK)
    cell.fill = parts.styles.PatternFill("solid", fgColor=SAND)
    cell.alignment = parts.styles.Alignment(text_rotation=90, vertical="bottom", horizontal="center")
    cell.border = parts.styles.Border(bottom=parts.styles.Side("medium", color=INK))
    cell.comment = parts.comments.Comment(escaped_text(column.words), "samedirt", height=80, width=240)


def _as_text(cell: Any, text: str) -> None:  # noqa: ANN401 - as above
    """Write a text that is never taken for a formula, a number or a date."""
    cell.value = escaped_text(text)
    cell.data_type = "s"
    cell.number_format = "@"


def _kept(text: str) -> str:
    """A text as it comes back when it is read: a cell of text needs an apostrophe only where it is one, or a blank."""
    return text if unguarded(text) == text and text.casefold() not in NOTHING else guarded(text)


def _fill(cell: Any, column: AskedColumn, text: str | None, parts: Any) -> None:  # noqa: ANN401 - as above
    line = parts.styles.Side("thin", color=INK)
    cell.border = parts.styles.Border(bottom=line, right=line)
    cell.font = parts.styles.Font(name=FONT)
    cell.alignment = parts.styles.Alignment(horizontal="left", vertical="center")
    if column.sort in ("text", "yes/no"):
        cell.number_format = "@"
    if text is None:
        return
    if column.sort in ("text", "yes/no"):
        _as_text(cell, _kept(text) if column.sort == "text" else text)
    else:
        cell.value = text
        cell.data_type = "n"  # the digits go into the file as they are: none is lost


def _rule(sheet: Any, index: int, column: AskedColumn, last: int, how: Any, parts: Any) -> None:  # noqa: ANN401 - as above
    """What may be written in a column, and what is said when something else is."""
    rule = parts.worksheet.datavalidation.DataValidation(
        allow_blank=True,
        promptTitle=column.header[:32],
        prompt=escaped_text(column.words)[:LONGEST_PROMPT],
        showInputMessage=True,
    )
    if column.choices:
        rule.type = "list"
        rule.formula1 = _choices(column, how)
        rule.errorStyle = "stop" if column.only else "warning"
        rule.error = _said(f"Choose one of: {', '.join(column.choices)}", column)
    elif column.low is not None and column.high is not None and column.sort in ("number", "whole"):
        rule.type = "whole" if column.sort == "whole" else "decimal"
        rule.operator = "between"
        rule.formula1, rule.formula2 = f"{column.low:.15g}", f"{column.high:.15g}"
        limits = f"from {column.low:,.15g} to {column.high:,.15g}"
        if column.sort == "whole":
            rule.error = _said(f"A whole number {limits}; check the value", column)
        else:
            rule.errorStyle = "warning"  # a number may carry its unit, which no rule of a cell can read
            rule.error = _said(f"A number {limits}, or one with its unit behind it; check both", column)
    if rule.type:
        rule.errorTitle = column.header[:32]
        rule.showErrorMessage = True
    rule.add(f"{letters(index)}2:{letters(index)}{last}")
    sheet.add_data_validation(rule)


def _said(text: str, column: AskedColumn) -> str:
    more = "" if column.only else ". Or keep your own words"
    return escaped_text(text)[: LONGEST_PROMPT - 30] + more


def _choices(column: AskedColumn, how: Any) -> str:  # noqa: ANN401 - as above
    """The rule of a drop-down: its choices themselves, or where they stand on the second sheet."""
    listed = ",".join(column.choices)
    plain = not any(set(choice) & set(',"') or choice.startswith(("=", " ")) for choice in column.choices)
    if len(listed) <= MOST_LISTED and plain and listed.isprintable():
        return f'"{listed}"'
    place = how.max_column + 2
    for line, choice in enumerate(column.choices, start=1):
        _as_text(how.cell(line, place), _kept(choice))
    how.column_dimensions[letters(place - 1)].hidden = True
    return f"'{HOW}'!${letters(place - 1)}$1:${letters(place - 1)}${len(column.choices)}"


def _lay_out(sheet: Any, columns: Sequence[AskedColumn], record: Record, *, for_panner: bool) -> None:  # noqa: ANN401 - as above
    """Widths, a heading that stays, and paper: lying, one page wide, the heading on every page."""
    kept = 1 if for_panner else sum(column.field in ("turn", "tag", "pair", "arm") for column in columns)
    sheet.freeze_panes = f"{letters(kept)}2"
    for index, column in enumerate(columns):
        sheet.column_dimensions[letters(index)].width = _width(column, record)
    sheet.row_dimensions[1].height = 7 * max(len(column.header) for column in columns) + 6
    for line in range(2, len(record.runs) + 2):
        sheet.row_dimensions[line].height = 22
    sheet.page_setup.orientation = "landscape"
    _one_page_wide(sheet)
    sheet.print_title_rows = "1:1"
    sheet.oddHeader.left.text = record.trial.name
    sheet.oddFooter.right.text = "page &P of &N"


def _width(column: AskedColumn, record: Record) -> float:
    """How wide a column must be for what is written there, in letters."""
    if column.field == "arm":
        return min(WIDEST_ARM, max(map(len, arm_texts(record.trial).values())) + 2)
    return WIDTHS.get(column.field, 6 if column.sort == "yes/no" else 8)


def _one_page_wide(sheet: Any) -> None:  # noqa: ANN401 - as above
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    margins = sheet.page_margins
    margins.left = margins.right = 0.5
    margins.top = margins.bottom = 0.75
    margins.header = margins.footer = 0.3


def _how_to_fill(
    sheet: Any,  # noqa: ANN401 - as above
    record: Record,
    columns: Sequence[AskedColumn],
    parts: Any,  # noqa: ANN401 - as above
    *,
    for_panner: bool,
) -> None:
    lines = [
        f"How to fill the sheet of {record.trial.name}",
        f"One row on the sheet '{SHEET}' is one run. "
        + ("Find its tag, and fill its row." if for_panner else "They stand in the order in which they are to be run."),
        "Leave a cell blank for what was not measured. Write 0 for: looked and found none.",
        "The name of a column ends in its unit. Write the number alone; or with another unit behind it, as 0.031 g.",
        "Write digits, with a point for decimals. Days as 2026-05-03. Choose yes or no, where the arrow shows.",
        "You may add columns, as gold_gross_g and gold_tare_g instead of gold_mg. Add notes in the column note.",
        "A run that went wrong keeps its row and its numbers: say why in void.",
        f"Then: samedirt load FILE --trial {record.trial.name}. All that can't be read is named, and nothing is lost.",
    ]
    if not for_panner and any(is_spare(run, record.trial) for run in record.runs):
        lines.append("Grey rows are spares: run one only where a run was struck.")
    lines += ["Codes only. Weigh or count each as it comes; ask nobody what it was."] if for_panner else []
    for line, text in enumerate(lines, start=1):
        cell = sheet.cell(line, 1)
        _as_text(cell, text)
        cell.font = parts.styles.Font(name=FONT, bold=line == 1, color=INK if line == 1 else None)
    for line, column in enumerate(columns, start=len(lines) + 2):
        texts = (column.header, column.words, _range(column))
        for index, (text, width) in enumerate(zip(texts, HOW_WIDTHS, strict=True)):
            cell = sheet.cell(line, index + 1)
            _as_text(cell, text)
            cell.font = parts.styles.Font(name=FONT)
            cell.alignment = parts.styles.Alignment(wrap_text=index > 0, vertical="top")
            sheet.column_dimensions[letters(index)].width = width
        sheet.row_dimensions[line].height = 15 * max(
            ceil(len(text) / (1.1 * width)) for text, width in zip(texts, HOW_WIDTHS, strict=True)
        )
    _one_page_wide(sheet)


def _range(column: AskedColumn) -> str:
    if column.choices:
        return ", ".join(column.choices) + ("" if column.only else "; or your own words")
    if column.low is not None and column.high is not None:
        return f"{column.low:,.15g} to {column.high:,.15g}"
    return ""
