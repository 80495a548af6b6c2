"""Charts as files: SVG, PNG, or one HTML page that needs no network."""

import json
from functools import lru_cache
from html import escape
from pathlib import Path

import altair as alt
import vl_convert as vlc

from trials.files.whole import write_whole

PNG_SCALE = 2
PHONE_PX = 700
SUFFIXES = (".html", ".svg", ".png")


def save_chart(chart: alt.VConcatChart, path: Path | str, *, narrow: alt.VConcatChart | None = None) -> None:
    """Write a chart to a file; its ending says as what.

    Parameters
    ----------
    chart
        What to write.
    path
        Ends in .html, .svg or .png.
    narrow
        The same chart for a phone; used in HTML only.

    Raises
    ------
    ValueError
        Any other ending.
    """
    path = Path(path)
    match path.suffix.lower():
        case ".html":
            write_whole(path, chart_html(chart, path.stem, narrow=narrow))
        case ".svg":
            write_whole(path, chart_svg(chart))
        case ".png":
            write_whole(path, vlc.vegalite_to_png(_spec_text(chart), scale=PNG_SCALE, allowed_base_urls=[]))
        case other:
            raise ValueError(
                f"{path.name}: {other or 'no ending'} is not a kind of picture this writes; end the name in "
                f"{', '.join(SUFFIXES[:-1])} or {SUFFIXES[-1]}"
            )


def chart_svg(chart: alt.VConcatChart) -> str:
    """A chart as SVG text: the same chart gives the same bytes."""
    return str(vlc.vegalite_to_svg(_spec_text(chart), allowed_base_urls=[]))


def chart_html(chart: alt.VConcatChart, title: str, *, narrow: alt.VConcatChart | None = None) -> str:
    """A chart as one HTML page that fetches nothing.

    Parameters
    ----------
    chart
        For a page or a wide screen.
    title
        Of the page.
    narrow
        The same chart for a phone. Without it the wide one is shrunk to fit.

    Returns
    -------
    str
        The still picture is in the page and stays where scripts are off; with them, marks tell their numbers when
        pointed at.
    """
    forms = {"wide": chart, "narrow": narrow} if narrow is not None else {"wide": chart}
    specs = {form: _spec(one) for form, one in forms.items()}
    figures = "\n".join(f'<figure class="{form}">{chart_svg(one)}</figure>' for form, one in forms.items())
    return _PAGE.format(
        title=escape(title),
        style=_STYLE + (_SWITCH if narrow is not None else ""),
        figures=figures,
        bundle=_bundle(),
        # "<" could begin or end a tag; in JSON text "\\u003c" means the same
        specs=json.dumps(specs, sort_keys=True, allow_nan=False).replace("<", "\\u003c"),
    )


def _spec(chart: alt.VConcatChart) -> dict[str, object]:
    spec: dict[str, object] = chart.to_dict()
    spec.pop("$schema", None)
    return spec


def _spec_text(chart: alt.VConcatChart) -> str:
    return json.dumps(_spec(chart), allow_nan=False)


@lru_cache(maxsize=1)
def _bundle() -> str:
    """The drawing library as one script. It is put into the page as it is: changing its text would break it."""
    return str(vlc.javascript_bundle("window.drawChart = vegaEmbed;"))


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
<meta http-equiv="Content-Security-Policy"
  content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline' 'unsafe-eval'; img-src data:">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
{figures}
<script>(()=>{{{bundle}
}})()</script>
<script>(()=>{{
const specs = {specs};
for (const form of Object.keys(specs))
  window.drawChart("figure." + form, specs[form], {{mode: "vega-lite", renderer: "svg", actions: false}});
}})()</script>
</body>
</html>
"""
