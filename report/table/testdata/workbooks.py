"""Reads workbooks with openpyxl and prints as JSON what stands in some of their sheets.

Arguments: paths of workbooks. Numbers are written as the decimals that are read back
as the same number, so that no figure is rounded on the way; of dates only the text.
"""
import json, sys
from decimal import Decimal as D

import openpyxl


def text(v):
    if v is None:
        return ""
    if isinstance(v, (int, float)) and not isinstance(v, bool):
        return format(D(repr(v)).normalize() + 0, "f")
    return str(v)


books = []
for path in sys.argv[1:]:
    book = openpyxl.load_workbook(path)
    books.append({s.title: [[text(c) for c in row] for row in s.iter_rows(values_only=True)] for s in book.worksheets})
json.dump(books, sys.stdout)
