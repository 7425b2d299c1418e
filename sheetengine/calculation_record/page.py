"""A calculation record as one page for a browser, which prints it with a header on every sheet of paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from sheetengine.calculation_record.parts import NUMBERS, CalculationRecord, Part, RecordTable, shown
from sheetengine.calculation_record.pictures import picture
from sheetengine.content import ChartContent, Look

_STYLE = """
@page { size: %(paper)s; margin: 14mm 12mm 14mm 16mm; @bottom-right { content: "Page " counter(page) " of " counter(pages); } }
body { font: 10pt/1.35 Carlito, Calibri, "Liberation Sans", sans-serif; color: #262430; max-width: 190mm; margin: 0 auto; padding: 0 4mm; }
h1 { font: bold 22pt Caladea, Cambria, serif; color: #2B2C66; margin: 8mm 0 4mm; }
h2 { font: bold 15pt Caladea, Cambria, serif; color: #2B2C66; margin: 2mm 0; }
h3 { font: bold 11pt Caladea, Cambria, serif; color: #2B2C66; margin: 5mm 0 1mm; }
p { margin: 1mm 0 2mm; } p.note { color: #5A5666; font-style: italic; }
table.sheet { width: 100%%; border-collapse: collapse; break-before: page; }
table.sheet:first-of-type { break-before: auto; }
td.head { border-bottom: 1.5pt solid #2B2C66; font-size: 8.5pt; padding: 1mm 0; }
td.head div { display: flex; justify-content: space-between; gap: 4mm; }
td.head strong { text-align: center; }
td.body { padding: 3mm 0 0; }
table.rows { width: 100%%; border-collapse: collapse; font-size: 8.5pt; }
table.rows caption { text-align: left; }
table.rows th { background: #EDE6D6; border-bottom: 1.2pt solid #2B2C66; text-align: left; vertical-align: bottom; padding: 1mm; }
table.rows td { border-bottom: 0.4pt solid #B9AE97; vertical-align: top; padding: 0.7mm 1mm; overflow-wrap: anywhere; white-space: pre-line; }
table.rows tr { break-inside: avoid; } table.rows .number { text-align: right; }
.strong { font-weight: bold; border: 0.8pt solid #262430 !important; } .dashed { font-style: italic; font-weight: bold; border: 0.8pt dashed #262430 !important; }
.heavy { font-weight: bold; text-decoration: underline; border: 1.2pt solid #262430 !important; } .dotted { font-style: italic; border: 0.8pt dotted #262430 !important; }
table.facts th { text-align: left; font-weight: normal; color: #5A5666; padding: 1mm 4mm 1mm 0; vertical-align: top; white-space: nowrap; }
table.facts td { font-weight: bold; padding: 1mm 0; overflow-wrap: anywhere; }
table.signed { width: 100%%; border-collapse: collapse; margin: 4mm 0; } table.signed th, table.signed td { border: 0.6pt solid #46525E; height: 9mm; text-align: left; padding: 0 2mm; width: 25%%; }
.warning { border: 2pt solid #262430; padding: 2mm; font-weight: bold; }
figure { margin: 2mm 0 5mm; break-inside: avoid; } figure svg { width: 100%%; height: auto; } figcaption { color: #5A5666; font-style: italic; font-size: 8.5pt; }
"""
_STATES = {
    "Near limit": "strong", "Needs acceptance": "strong", "Exceeds": "heavy", "Blocks issue": "heavy", "Outside scope": "dashed",
    "Input fault": "dashed", "Not computed": "dotted", "For information": "dotted",
}  # fmt: skip


def as_page(record: CalculationRecord) -> str:
    """Return the record as HTML, complete in one text: no picture, font or script comes from elsewhere."""
    return "\n".join(_page(record)) + "\n"


def _page(record: CalculationRecord) -> Iterator[str]:
    title = escape(f"{record.title}: {record.head[0]}, {record.head[2]}")
    yield f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
    yield f"<style>{_STYLE % {'paper': record.paper}}</style></head><body>"
    yield from _sheet(record, _front(record))
    for number, part in enumerate(record.parts, start=1):
        yield from _sheet(record, _part(record, number, part))
    yield "</body></html>"


def _sheet(record: CalculationRecord, inside: Iterator[str]) -> Iterator[str]:
    """Yield a table whose head a browser repeats on every sheet of paper."""
    left, middle, right = map(escape, record.head)
    yield (
        '<table class="sheet" role="presentation"><thead><tr><td class="head"><div>'
        f"<span>{left}</span><strong>{middle}</strong><span>{right}</span></div></td></tr></thead>"
    )
    yield '<tbody><tr><td class="body">'
    yield from inside
    yield "</td></tr></tbody></table>"


def _front(record: CalculationRecord) -> Iterator[str]:
    yield f"<h1>{escape(record.title)}</h1>"
    if record.warning:
        yield f'<p class="warning">{escape(record.warning)}</p>'
    yield '<table class="facts">'
    for name, text in record.facts:
        yield f"<tr><th scope='row'>{escape(name)}</th><td>{escape(text)}</td></tr>"
    yield "</table>"
    yield '<table class="signed"><tr><th>Signed</th><th>Name</th><th>Signature</th><th>Date</th></tr>'
    for role in record.signatures:
        yield f"<tr><td>{escape(role)}</td><td></td><td></td><td></td></tr>"
    yield "</table>"
    for text in record.cautions:
        yield f"<p>{escape(text)}</p>"
    yield "<h2>Contents</h2><ol>"
    for number, part in enumerate(record.parts, start=1):
        yield f'<li><a href="#part{number}">{escape(part.title)}</a></li>'
    yield "</ol>"


def _part(record: CalculationRecord, number: int, part: Part) -> Iterator[str]:
    yield f'<h2 id="part{number}">{number}&ensp;{escape(part.title)}</h2>'
    for text in part.lines:
        yield f"<p>{escape(text)}</p>"
    for table in part.tables:
        yield from _table(table)
    yield from _charts(record, part.charts)


def _table(table: RecordTable) -> Iterator[str]:
    yield f"<h3>{escape(table.title)}</h3>"
    if table.note:
        yield f'<p class="note">{escape(table.note)}</p>'
    whole = sum(look.width for look in table.columns)
    yield f'<table class="rows"><caption hidden>{escape(table.title)}</caption><colgroup>'
    for look in table.columns:
        yield f'<col style="width:{100.0 * look.width / whole:.1f}%">'
    yield "</colgroup><thead><tr>"
    for look in table.columns:
        kind = ' class="number"' if look.look in NUMBERS else ""
        yield f'<th scope="col"{kind}>{escape(look.heading)}</th>'
    yield "</tr></thead><tbody>"
    for row in table.rows:
        cells = []
        for value, look in zip(row, table.columns, strict=True):
            text = shown(value, look)
            kind = "number" if look.look in NUMBERS else ""
            if look.look in (Look.VERDICT, Look.LEVEL):
                kind = _STATES.get(text, "")
            cells.append(f"<td{f' class={chr(34)}{kind}{chr(34)}' if kind else ''}>{escape(text)}</td>")
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody></table>"


def _charts(record: CalculationRecord, charts: Sequence[ChartContent]) -> Iterator[str]:
    for chart in charts:
        if not any(record.chart_data[curve.table].rows for curve in chart.curves):
            continue
        svg = picture(chart, record.chart_data)
        told = escape(chart.alt_text or chart.title, quote=True)
        yield f'<figure role="img" aria-label="{told}">{svg}<figcaption>{told}</figcaption></figure>'
