"""Papers that go with a car: what is on them (customer, order), and the forms they take (text, html, paper/sheet)."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.report.sheet.customer import customer_sheet
from diagnose.report.sheet.model import Sheet
from diagnose.report.sheet.order import work_order
from diagnose.rulebook.model import Book

SHEETS: dict[str, Callable[[Plan, Book, Moved | None], Sheet]] = {"customer": customer_sheet, "technician": work_order}
"""For whom a sheet is, and what makes it."""
