"""The check sum round a sheet that a phone hands over: whether all of it arrived, and as it was written."""

import re
from zlib import crc32

CHECK = "# check sum"
# What a spreadsheet that saved the file again may have put round the line is passed over.
_CHECK_LINE = re.compile(rf'\W*{re.escape(CHECK)}\s+(?P<sum>[0-9A-Fa-f]{{8}})\b[\s,;"]*')
_ENDS = re.compile(r"\r\n|\r|\n")
ALL_OF_IT = "hand it over again, all of it"
ON_PURPOSE = f"if it was changed on purpose, take out both lines that begin with {CHECK}"


def check_sum(lines: list[str]) -> str:
    r"""The check sum of some lines: the CRC-32 of ISO 3309 over their UTF-8, as eight digits.

    White space at the ends of lines and blank lines are left out, for mail and messengers put some in. The check value
    of that sum, of the digits 1 to 9, is CBF43926 (Williams, A painless guide to CRC error detection algorithms, 1993).

    >>> check_sum(["123456789"]), check_sum(["123456789 ", ""])
    ('CBF43926', 'CBF43926')
    """
    bare = [line.strip() for line in lines]
    return f"{crc32(chr(10).join(filter(None, bare)).encode()):08X}"


def checked(text: str) -> tuple[str, str]:
    r"""What stands between the two lines of a check sum, on the lines it stood on; and what is wrong with it.

    A text with no such line is taken as it is. Whatever stands around the two, as a greeting, is left out.

    >>> checked("Here it is:\n# check sum CBF43926\n123456789\n# check sum CBF43926\nBye\n")
    ('\n\n123456789\n', '')
    >>> checked("tag,grains\n")
    ('tag,grains\n', '')
    >>> checked("# check sum CBF43926\n1234567\n")[1]
    'is cut short: a line of its check sum is missing; hand it over again, all of it'
    """
    lines = _ENDS.split(text)
    marks = {at: found["sum"].upper() for at, line in enumerate(lines) if (found := _CHECK_LINE.fullmatch(line))}
    if not marks:
        return text, ""
    if len(marks) == 1:
        return "", f"is cut short: a line of its check sum is missing; {ALL_OF_IT}"
    if len(marks) > 2:
        return "", f"holds more than one sheet: {CHECK} stands in {len(marks)} lines, not 2; load them one by one"
    first, last = marks
    between = lines[first + 1 : last]
    if {check_sum(between)} != set(marks.values()):
        return "", f"is not as it left the phone: its check sum does not fit; {ALL_OF_IT}, or {ON_PURPOSE}"
    return "\n".join([*[""] * (first + 1), *between, ""]), ""
