"""Charts as files: SVG, PNG, or one HTML page that needs neither network nor scripts."""

import json
import struct
import zlib
from collections.abc import Callable
from html import escape
from pathlib import Path

import altair as alt

from trials.charts.engine import begin_picture
from trials.charts.marks import unchecked
from trials.files.whole import write_whole

AFTER_HEADER = 33  # the signature of a PNG and its first chunk
PHONE_PX = 700
SUFFIXES = (".html", ".svg", ".png")


def save_chart(chart: alt.VConcatChart, path: Path | str, *, narrow: alt.VConcatChart | None = None) -> None:
    """Write a chart to a file; its ending says as what: .html, .svg or .png, and ValueError says of any other.

    `narrow` is the same chart for a phone, used in HTML only. Refused where there is a file already that is no chart
    written here.
    """
    path = Path(path)
    match path.suffix.lower():
        case ".html":
            write_whole(path, chart_html(chart, path.stem, narrow=narrow))
        case ".svg":
            write_whole(path, chart_svg(chart))
        case ".png":
            write_whole(path, _signed(begin_picture(_spec_text(chart), "png")()))
        case other:
            raise ValueError(
                f"{path.name}: {other or 'no ending'} is not a kind of picture this writes; end the name in "
                f"{', '.join(SUFFIXES[:-1])} or {SUFFIXES[-1]}"
            )


def _signed(png: bytes) -> bytes:
    """A picture that names the program that drew it, by which it is told from a photograph."""
    said = b"tEXtSoftware\0samedirt"
    chunk = struct.pack(">I", len(said) - 4) + said + struct.pack(">I", zlib.crc32(said))
    return png[:AFTER_HEADER] + chunk + png[AFTER_HEADER:]


def chart_svg(chart: alt.VConcatChart) -> str:
    """A chart as SVG text: the same chart gives the same bytes."""
    return begin_svg(chart)()


def begin_svg(chart: alt.VConcatChart) -> Callable[[], str]:
    """Begin to draw a chart; what is given back waits for its SVG, so that the next can be put together meanwhile."""
    begun = begin_picture(_spec_text(chart), "svg")
    return lambda: begun().decode()


def chart_html(chart: alt.VConcatChart, title: str, *, narrow: alt.VConcatChart | None = None) -> str:
    """A chart as one HTML page that fetches and runs nothing.

    `narrow` is the same chart for a phone; without it the wide one is shrunk to fit.
    """
    forms = {"wide": chart, "narrow": narrow} if narrow is not None else {"wide": chart}
    begun = {form: begin_svg(one) for form, one in forms.items()}
    return _PAGE.format(
        title=escape(title),
        style=_STYLE + (_SWITCH if narrow is not None else ""),
        figures="\n".join(f'<figure class="{form}">{svg()}</figure>' for form, svg in begun.items()),
    )


@unchecked
def _spec_text(chart: alt.VConcatChart) -> str:
    """The specification as text."""
    spec: dict[str, object] = chart.to_dict(validate=False)
    spec.pop("$schema", None)
    return json.dumps(spec, allow_nan=False)


_STYLE = """
body{margin:0;background:#fff;color:#2B2926;font-family:Arial,'Liberation Sans',Helvetica,sans-serif}
figure{margin:0 auto;max-width:max-content}
figure svg{max-width:100%;height:auto}
@page{margin:12mm}
"""
_SWITCH = f"""
figure.narrow{{display:none}}
@media screen and (max-width:{PHONE_PX}px){{figure.wide{{display:none}}figure.narrow{{display:block}}}}
"""
_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="samedirt">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
{figures}
</body>
</html>
"""
