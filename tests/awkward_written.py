"""Contents of office books that XlsxWriter writes: each adds to a book whose first sheet is a table of lifts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

from office_books import png

Maker = Callable[[Any, Any], None]
"""Adds to a workbook of XlsxWriter and its first sheet."""


def _picture(book: Any) -> str:
    return str(png(Path(book.filename).with_name("dot.png")))


def _long_names(book: Any, sheet: Any) -> None:
    for letter in ("A", "B"):
        name = f"{letter} name of thirty-one letters..."
        assert len(name) == 31
        sheet.write_formula("E1", f"='{name}'!A1")
        book.add_worksheet(name).print_area("A1:B2")


def _quoted_names(book: Any, sheet: Any) -> None:
    for name in (
        "It''s a pour".replace("''", "'"),
        'Say "when"',
        "50 % & more",
        "a<b>c",
        "R1C1",
        "2031",
        "TRUE",
    ):
        other = book.add_worksheet(name)
        other.repeat_rows(0)
        doubled = name.replace("'", "''")
        sheet.write_formula("E1", f"='{doubled}'!A1")


def _unicode_names(book: Any, sheet: Any) -> None:
    for name in ("打設計画", "Übersicht", "Подъёмы", "🏗️ pours", "e\u0301te\u0301", "non\u00a0breaking"):
        book.add_worksheet(name).write("A1", name)
    book.define_name("Größe", "='打設計画'!$A$1")


def _hidden(book: Any, sheet: Any) -> None:
    book.add_worksheet("Hidden").hide()
    book.add_worksheet("Very hidden").very_hidden()


def _checks(book: Any, sheet: Any) -> None:
    checks: list[dict[str, Any]] = [
        {"validate": "list", "source": "=Lifts!$A$2:$A$8"},
        {"validate": "whole", "criteria": "between", "minimum": 1, "maximum": 9, "input_title": "Lift", "input_message": "1 to 9"},
        {"validate": "decimal", "criteria": ">", "value": 0.5, "error_type": "warning"},
        {"validate": "date", "criteria": ">=", "value": dt.date(2031, 1, 1)},
        {"validate": "time", "criteria": "<", "value": dt.time(12)},
        {"validate": "length", "criteria": "<=", "value": 8, "error_type": "information"},
        {"validate": "custom", "value": '=EXACT(A1,"x")'},
        {"validate": "list", "source": "=Flags!$A$4:$A$9"},
    ]  # fmt: skip
    for row, check in enumerate(checks):
        sheet.data_validation(row, 5, row, 5, check)


def _newer_conditions(book: Any, sheet: Any) -> None:
    own = book.add_format({"bold": True, "font_color": "#4B3A00", "bg_color": "#EEE2C2", "border": 1})
    sheet.conditional_format("C2:C8", {"type": "data_bar", "data_bar_2010": True, "bar_direction": "right"})
    sheet.conditional_format("C2:C8", {"type": "2_color_scale"})
    sheet.conditional_format("B2:B8", {"type": "icon_set", "icon_style": "5_quarters"})
    sheet.conditional_format("A2:A8", {"type": "text", "criteria": "containing", "value": "B", "format": own})
    sheet.conditional_format("A2:A8", {"type": "duplicate", "format": own, "stop_if_true": True})
    sheet.conditional_format("A2:C8", {"type": "formula", "criteria": "=$B2>Flags!$C$4", "format": own})
    sheet.conditional_format("B2:B8", {"type": "top", "value": 10, "criteria": "%", "format": own})


def _arrays(book: Any, sheet: Any) -> None:
    sheet.write_array_formula("E1:E3", "{=B2:B4*2}", None, 2)
    sheet.write_dynamic_array_formula("F1", "=FILTER(A2:A8,B2:B8>2)")
    sheet.write_dynamic_array_formula("G1", "=LET(x,SEQUENCE(3),x*2)")
    sheet.write_formula("H1", "=SUM(_xlfn.ANCHORARRAY(F1))")


def _edges_of_paper(book: Any, sheet: Any) -> None:
    picture = _picture(book)
    sheet.set_header("&L&G&C&A&R&D", {"image_left": picture})
    sheet.set_footer("&LPage &P&C&G&R&F", {"image_center": picture, "align_with_margins": False})
    sheet.set_h_pagebreaks([3, 6])
    sheet.set_v_pagebreaks([2])
    sheet.set_paper(8)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.center_horizontally()
    sheet.print_row_col_headers()
    sheet.print_black_and_white()


def _properties(book: Any, sheet: Any) -> None:
    book.set_properties(
        {"title": "Pours & lifts", "author": "A. Planner", "comments": "Issue <A>", "status": "Checked"}
    )
    for value in ("text", 3, 2.5, True, dt.datetime(2031, 4, 2)):
        book.set_custom_property(f"Own {type(value).__name__}", value)


def _pictures_in_cells(book: Any, sheet: Any) -> None:
    picture = _picture(book)
    sheet.embed_image("E1", picture, {"description": "a dot"})
    sheet.embed_image("E2", picture, {"url": "https://example.org/"})
    sheet.insert_image("G2", picture, {"object_position": 3, "decorative": True})


def _formats(book: Any, sheet: Any) -> None:
    for number in range(2000):
        look = {
            "font_size": 6 + number % 30,
            "indent": number // 30 % 10,
            "bg_color": f"#{number * 37 % 0xFFFFFF:06X}",
        }
        sheet.write_blank(number, 6, None, book.add_format({**look, "num_format": f'0.00" n{number % 200}"'}))


def _many_charts(book: Any, sheet: Any) -> None:
    kinds = ("area", "bar", "column", "doughnut", "line", "pie", "radar", "scatter")
    for place, kind in enumerate(kinds):
        chart = book.add_chart({"type": kind})
        chart.add_series({"values": "=Lifts!$C$2:$C$8", "categories": "=Lifts!$A$2:$A$8", "name": kind})
        chart.set_title({"name": f"{kind} & more"})
        sheet.insert_chart(10 * place, 8, chart)
    both = book.add_chart({"type": "column"})
    both.add_series({"values": "='Anchor demand'!$B$7:$B$8", "name": "='Anchor demand'!$B$6"})
    second = book.add_chart({"type": "line"})
    second.add_series({"values": "=Flags!$C$4:$C$5", "y2_axis": True, "trendline": {"type": "linear"}})
    both.combine(second)
    sheet.insert_chart("A30", both)


def _to_results(book: Any, sheet: Any) -> None:
    sheet.write_formula("E1", "='Anchor demand'!B7", None, 0.5)
    sheet.write_formula("E2", "=Flags!A4&Flags!B4", None, "")
    sheet.write_formula("E3", '=COUNTIF(Flags!B:B,"Blocks issue")', None, 1)
    sheet.write_formula("E4", "=SUM(Flags:'Anchor demand'!C4)", None, 3)
    book.define_name("Worst", "=MAX('Anchor demand'!$B$7:$B$99)")
    book.define_name("Lifts!Worst", "=Flags!$A$4")
    sheet.write_url("E5", "internal:'Anchor demand'!A1")
    sheet.data_validation("F1", {"validate": "list", "source": "=Flags!$A$4:$A$5"})
    sheet.add_sparkline("F2", {"range": "'Anchor demand'!B7:B8"})


def _outlines(book: Any, sheet: Any) -> None:
    for row in range(1, 6):
        sheet.set_row(row, 20, None, {"level": min(row, 4), "hidden": row > 3})
    sheet.set_row(6, None, None, {"collapsed": True})
    sheet.set_column("D:F", 3, None, {"level": 1, "hidden": True})
    sheet.set_column("G:G", None, None, {"collapsed": True})
    sheet.split_panes(15, 8.43)
    sheet.set_zoom(75)
    sheet.set_default_row(18, True)


def _links(book: Any, sheet: Any) -> None:
    for row, link in enumerate((
        "https://example.org/a?b=1&c=%20#d", "mailto:planner@example.org", "internal:Lifts!C9", "internal:'Anchor demand'!A6",
        r"external:c:\temp\pour plan.xlsx#Sheet1!A1", r"external:\\server\share\book.xlsx", "ftp://example.org/",
    )):  # fmt: skip
        sheet.write_url(row, 5, link, string=f"link {row}", tip="a & b")


def _total_rows(book: Any, sheet: Any) -> None:
    sheet.add_table(
        "F1:I6",
        {
            "name": "Pours",
            "total_row": True,
            "style": "Table Style Light 1",
            "data": [[1, 2, 3], [4, 5, 6]],
            "columns": [
                {"header": "a b", "total_string": "Sum"},
                {"header": "c[d]", "total_function": "sum"},
                {"header": "e'f", "total_function": "average"},
                {"header": "g", "formula": "=[@[a b]]*2"},
            ],
        },
    )
    sheet.write_formula("K1", "=SUM(Pours[g])")


def _names(book: Any, sheet: Any) -> None:
    book.add_worksheet("Other")
    for scope in ("", "Lifts!", "Other!"):
        book.define_name(f"{scope}Same", "=Lifts!$A$1")
    book.define_name("Rate", "=1.5")
    book.define_name("Other!Anchor_demand", "=Other!$A$1")
    book.define_name("Spread", "=OFFSET(Lifts!$A$1,0,0,COUNTA(Lifts!$A:$A),1)")


def _opens_later(book: Any, sheet: Any) -> None:
    for place in range(5):
        other = book.add_worksheet(f"Later {place}")
        if place == 2:
            other.set_first_sheet()
        if place == 3:
            other.activate()
        if place == 4:
            other.select()
    book.set_tab_ratio(40)
    book.set_size(900, 600)


def _pages(book: Any, sheet: Any) -> None:
    sheet.right_to_left()
    sheet.set_pagebreak_view()
    sheet.hide_zero()
    sheet.hide_row_col_headers()
    sheet.set_start_page(7)
    sheet.print_across()
    sheet.set_top_left_cell("B2")


def _settings(book: Any, sheet: Any) -> None:
    book.set_calc_mode("manual")
    book.read_only_recommended()


def _sixty(book: Any, sheet: Any) -> None:
    for number in range(60):
        book.add_worksheet(f"S{number}").print_area(0, 0, number, 3)


def _far_cells(book: Any, sheet: Any) -> None:
    sheet.write("XFD1", "far right")
    sheet.write("A1048576", "far down")
    sheet.write("XFD1048576", 1)


def _texts(book: Any, sheet: Any) -> None:
    words = (
        "_x000D_",
        "  blanks  ",
        "a\nb",
        "tab\there",
        "\x07bell",
        "&<>\"'",
        "x" * 32767,
        "=no formula",
        "'quoted",
        "\u2028",
    )
    for row, text in enumerate(words):
        sheet.write_string(row, 5, text)
    sheet.write_rich_string(
        "G1", book.add_format({"bold": True}), "bold", " plain ", book.add_format({"font_script": 1}), "up"
    )


def _merged(book: Any, sheet: Any) -> None:
    for row in range(10, 40, 2):
        sheet.merge_range(row, 0, row + 1, 3, "merged", book.add_format({"align": "center", "rotation": row}))
    sheet.set_row(50, 409.5)
    sheet.set_column("XFD:XFD", 255)


def _filter(book: Any, sheet: Any) -> None:
    sheet.autofilter("A1:C8")
    sheet.filter_column("B", "x > 2")
    sheet.set_row(1, None, None, {"hidden": True})
    other = book.add_worksheet("List filter")
    other.autofilter("A1:B9")
    other.filter_column_list("A", ["B1", "Blanks"])


def _notes_everywhere(book: Any, sheet: Any) -> None:
    for row in range(40):
        sheet.write_comment(
            row, 4, f"Note {row}", {"author": f"Reader {row % 3}", "x_scale": 2, "visible": row % 2 == 0}
        )
    other = book.add_worksheet("Other notes")
    other.write_comment("A1", "On another sheet")
    other.insert_button("C3", {"macro": "press", "caption": "Press"})


def _boxes(book: Any, sheet: Any) -> None:
    sheet.insert_textbox(
        "E2", "A remark\nof two lines", {"font": {"bold": True}, "url": "https://example.org/"}
    )
    sheet.insert_textbox("E9", "", {"textlink": "='Anchor demand'!$A$1", "object_position": 2})
    chart = book.add_chart({"type": "stock"})
    for column in "ABC":
        chart.add_series({"values": f"=Lifts!${column}$2:${column}$8"})
    book.add_chartsheet("Stock").set_chart(chart)


def _nothing(book: Any, sheet: Any) -> None:
    """Leave the book as it is."""


WRITTEN: dict[str, tuple[Maker, dict[str, Any]]] = {
    "long sheet names": (_long_names, {}),
    "quotes in sheet names": (_quoted_names, {}),
    "letters of the world in sheet names": (_unicode_names, {}),
    "hidden and very hidden sheets": (_hidden, {}),
    "checks of every kind": (_checks, {}),
    "newer conditional formats": (_newer_conditions, {}),
    "array formulas old and new": (_arrays, {}),
    "pictures in headers, page breaks": (_edges_of_paper, {}),
    "custom properties": (_properties, {}),
    "pictures in cells": (_pictures_in_cells, {}),
    "thousands of formats": (_formats, {}),
    "charts of every kind": (_many_charts, {}),
    "formulas to the results": (_to_results, {}),
    "outlines and split panes": (_outlines, {}),
    "links of every kind": (_links, {}),
    "total rows": (_total_rows, {}),
    "names local and global": (_names, {}),
    "opens on a later sheet": (_opens_later, {}),
    "page views": (_pages, {}),
    "manual calculation, read-only advised": (_settings, {}),
    "sixty sheets": (_sixty, {}),
    "cells at the far end": (_far_cells, {}),
    "texts that need care": (_texts, {}),
    "merged cells": (_merged, {}),
    "filters and hidden rows": (_filter, {}),
    "notes and buttons on many sheets": (_notes_everywhere, {}),
    "linked text boxes, chart sheets": (_boxes, {}),
    "texts written in place": (_nothing, {"constant_memory": True}),
    "dates from 1904 with checks": (_checks, {"date_1904": True}),
    "zip64 by the writer": (_nothing, {"use_zip64": True}),
    "nothing more": (_nothing, {}),
}
