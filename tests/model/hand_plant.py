"""A small plant reckoned by hand in a plain workbook, from the written rules of the cash flow alone.

It imports nothing of econ: only the rules below and the numbers of CASE. A spreadsheet program works the
formulas out, and the model must come to the same cents.

Rules. (1) Year 0 is today and not discounted; flows of year t fall at its end. In a nominal study yearly
amounts and things bought cost (1 + inflation)^t; a loan, a grant and working capital are plain amounts. (2)
Capital of year 0 = kiln + installation + other + equipment of year 0, and a contingency share of that sum;
contingency and other things are written down with the kiln. (3) Equipment of a later year is paid at that
year's end at its prices. (4) The kiln (price and installation) is bought again in a year, never the last, in
which a multiple of its life ends; so is equipment, counted from its purchase. A part that wears is replaced by
the same rule, but not in a year in which the kiln is; it is deducted at once. (5) Straight line: cost / life a
year until nothing is left. Tables: the printed share of the k-th year, k years after the purchase. (6) Sales
and what selling costs build up in a straight line from the first year's share to all in the year of full sales;
breakdowns take a share of what
is sold, with its selling cost, and of the saving. (7) Taxed profit = operating cash - parts - write-down +
resale - book value left - clean-up, less losses carried. (8) Net cash = operating - bought - parts + resale -
clean-up + working capital returned - tax. (9) The owner's cash adds loan, grant (paid at the end of its year;
taxed in full, or untaxed with the basis lowered by it and written down with the kiln) and debt service;
interest is deducted. (10) The loan is repaid monthly in level payments after months of interest only. (11)
Coverage = (operating - parts - bought - the owner's tax) / (interest + principal); the grant is awarded. At the
end kiln and tool bring the resale typed, never more than straight line on the life that is left.
(12) By month: sales and selling
costs by season, the spring share evenly over March to May; other operating cash in twelfths; all else in the
last month of its year.
"""

from __future__ import annotations

from pathlib import Path

import openpyxl
from openpyxl.utils import get_column_letter as letter

YEARS = 6
CASE: dict[str, float] = {
    "bones_kg_per_week": 500, "char_yield": 0.25, "batch_kg": 260, "firings": 100,
    "kiln_price": 30000, "installation": 6000, "other_capital": 4000, "kiln_life": 4, "salvage_share": 0.1,
    "contingency": 0.1, "tool_cost": 5000, "tool_installation": 500, "tool_life": 3, "tool_salvage": 0.2,
    "late_cost": 3000, "late_year": 2, "part_cost": 900, "part_life": 1.5,
    "working_capital": 2500, "cleanup": 1800, "hours": 5, "wage": 21, "on_cost": 0.11, "fuel_each": 20,
    "fuel_price": 0.9, "maintenance": 0.05, "insurance": 800, "permits": 400, "other_running": 300,
    "assays": 350, "registration": 150, "tonnage_fee": 0.02, "downtime": 0.03, "grease": 120,
    "owner_hours_per_week": 2, "owner_worth": 25, "price_rise": 240,
    "saving": 6000, "price_1": 4.0, "limit_1": 2000, "share_1": 0.4, "discount_1": 0.25, "freight_1": 0.2,
    "packaging_1": 0.3, "selling_hours_per_t": 10, "price_2": 9, "finish": 0.12,
    "first_share": 0.4, "years_to_full": 3, "spring": 0.5, "first_month": 2,
    "rate": 0.08, "inflation": 0.03, "tax": 0.3, "grant": 8000, "loan": 25000, "loan_rate": 0.075,
    "loan_years": 5, "grace": 6,
}  # fmt: skip
"""Made up. Lives, shares and the loan were chosen so that loss, renewal, grant and build-up all bite."""

FIVE_YEAR_TABLE = (0.2, 0.32, 0.192, 0.1152, 0.1152, 0.0576)
"""US half-year table, 5 years: IRS Publication 946, Table A-1, as reprinted in a textbook."""


def write(path: Path, is_excluded: bool) -> Path:
    """The workbook of the case: sheets Inputs, Years (row a figure, B = year 0), Months."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Inputs"
    for at, (name, value) in enumerate(CASE.items(), start=1):
        sheet.cell(at, 1, name)
        sheet.cell(at, 2, value)
        book.defined_names[f"i_{name}"] = openpyxl.workbook.defined_name.DefinedName(
            f"i_{name}", attr_text=f"Inputs!$B${at}"
        )
    _loan(book.create_sheet("Loan"))
    _years(book.create_sheet("Years"), is_excluded)
    _months(book.create_sheet("Months"))
    book.save(path)
    return path


def _loan(sheet: object) -> None:
    """Month m in row m + 1: A month, B interest, C principal, D balance; row 1 has the balance at the start."""
    sheet["D1"] = "=i_loan"
    for month in range(1, int(CASE["loan_years"]) * 12 + 1):
        row = month + 1
        sheet.cell(row, 1, month)
        sheet.cell(row, 2, f"=D{row - 1}*i_loan_rate/12")
        level = "-PMT(i_loan_rate/12,i_loan_years*12-i_grace,i_loan)"
        sheet.cell(row, 3, f"=IF(A{row}<=i_grace,0,{level}-B{row})")
        sheet.cell(row, 4, f"=D{row - 1}-C{row}")


ROWS = (
    "year", "price", "char", "ramp", "sold_1", "sold_2", "gross_1", "sales", "selling", "saved", "running",
    "extra", "operating", "kiln_due", "kiln_buy", "tool_due", "tool_buy", "late_buy", "part_due", "parts",
    "kiln_unit", "kiln_written", "kiln_book", "tool_written", "tool_book", "late_written", "late_book",
    "grant_written", "grant_book", "resale", "book_left", "cleanup", "profit", "carried", "tax", "cash", "worth",
    "interest", "principal", "grant", "owner_profit", "owner_carried", "owner_tax", "owner_cash", "owner_worth",
    "coverage",
)  # fmt: skip
AT = {name: row for row, name in enumerate(ROWS, start=1)}


def _years(sheet: object, is_excluded: bool) -> None:
    for name, row in AT.items():
        sheet.cell(row, 1, name)
    start = {
        "year": "0", "price": "1",
        "kiln_buy": "(i_kiln_price+i_installation+i_other_capital)+i_contingency*(i_kiln_price+i_installation"
        "+i_other_capital+i_tool_cost+i_tool_installation)",
        "tool_buy": "i_tool_cost+i_tool_installation", "late_buy": "0", "kiln_unit": "{kiln_buy}",
        "kiln_book": "{kiln_buy}", "tool_book": "{tool_buy}", "late_book": "0",
        "grant_book": "i_grant" if is_excluded else "0", "carried": "0", "owner_carried": "0",
        "cash": "-{kiln_buy}-{tool_buy}-i_working_capital", "worth": "{cash}",
        "owner_cash": "{cash}+i_loan", "owner_worth": "{owner_cash}",
    }  # fmt: skip
    for name, formula in start.items():
        sheet.cell(AT[name], 2, _fill(formula, 2))
    for t in range(1, YEARS + 1):
        for name, formula in _year(t, is_excluded).items():
            sheet.cell(AT[name], t + 2, _fill(formula, t + 2))


def _fill(formula: str, column: int) -> str:
    """{name} is this year's cell of a row, {-name} last year's."""
    for name, row in AT.items():
        formula = formula.replace("{" + name + "}", f"{letter(column)}{row}")
        formula = formula.replace("{-" + name + "}", f"{letter(column - 1)}{row}")
    return f"={formula}"


def _due(life: str, since: str = "0") -> str:
    return f"IF(INT(({{year}}-{since})/{life})>INT(({{year}}-1-{since})/{life}),1,0)"


def _left(life: str) -> str:
    """Share of a life from today that is left at the end: nothing where one ended within the last year."""
    ended = f"INT({YEARS}/{life})>INT({YEARS - 1}/{life})"
    return f"IF({ended},0,1-({YEARS}/{life}-INT({YEARS}/{life})))"


def _end(resale: str, cost: str, life: str) -> str:
    """Straight line on what is left; of what was bought first no more than the resale typed."""
    return f"IF({life}>={YEARS},MIN({resale},{cost}*{_left(life)}),{cost}*{_left(life)})"


def _table(row: str, t: int, bought: range) -> str:
    """The half-year table over the purchases of a row."""
    parts = [f"{letter(v + 2)}{AT[row]}*{FIVE_YEAR_TABLE[t - v - 1]}" for v in bought if 0 < t - v <= 6]
    return "+".join(parts) or "0"


def _year(t: int, is_excluded: bool) -> dict[str, str]:
    last = t == YEARS
    found = {
        "year": str(t), "price": "{-price}*(1+i_inflation)", "char": "i_bones_kg_per_week*52*i_char_yield",
        "ramp": "MIN(1,i_first_share+(1-i_first_share)*({year}-1)/(i_years_to_full-1))",
        "sold_1": "MIN(i_share_1*{char},i_limit_1)", "sold_2": "{char}-{sold_1}",
        "gross_1": "{sold_1}*i_price_1",
        "sales": "({gross_1}*(1-i_discount_1)+{sold_2}*i_price_2)*{ramp}*{price}*(1-i_downtime)",
        "selling": "({sold_1}*(i_freight_1+i_packaging_1)+{sold_1}/1000*i_selling_hours_per_t*i_wage*(1+i_on_cost)"
        "+i_tonnage_fee*({sold_1}+{sold_2}))*{ramp}*{price}*(1-i_downtime)",
        "saved": "i_saving*{price}",
        "running": "(i_firings*(i_fuel_each*i_fuel_price+i_hours*i_wage*(1+i_on_cost))+i_kiln_price*i_maintenance"
        "+i_insurance+i_permits+i_other_running+{char}*i_finish)*{price}",
        "extra": "(i_assays+i_registration+i_grease+i_owner_hours_per_week*52*i_owner_worth+i_price_rise)*{price}"
        "+i_downtime*{saved}",
        "operating": "{sales}-{selling}+{saved}-{running}-{extra}",
        "kiln_due": "0" if last else _due("i_kiln_life"),
        "kiln_buy": "{kiln_due}*(i_kiln_price+i_installation)*{price}",
        "tool_due": "0" if last else _due("i_tool_life"),
        "tool_buy": "{tool_due}*(i_tool_cost+i_tool_installation)*{price}",
        "late_buy": "IF({year}=i_late_year,i_late_cost*{price},0)",
        "part_due": "0" if last else f"{_due('i_part_life')}*(1-{{kiln_due}})",
        "parts": "{part_due}*i_part_cost*{price}",
        "kiln_written": "MIN({-kiln_book},{-kiln_unit}/i_kiln_life)",
        "kiln_unit": "IF({kiln_due}=1,{kiln_buy},{-kiln_unit})",
        "kiln_book": "{-kiln_book}-{kiln_written}+{kiln_buy}",
        "tool_written": _table("tool_buy", t, range(t)), "tool_book": "{-tool_book}-{tool_written}+{tool_buy}",
        "late_written": "IF({year}>i_late_year,"
        "MIN({-late_book},i_late_cost*(1+i_inflation)^i_late_year/i_kiln_life),0)",
        "late_book": "{-late_book}-{late_written}+{late_buy}",
        "grant_written": "MIN({-grant_book},i_grant/i_kiln_life)" if is_excluded else "0",
        "grant_book": "{-grant_book}-{grant_written}",
        "resale": (
            f"({_end('i_kiln_price*i_salvage_share', '(i_kiln_price+i_installation)', 'i_kiln_life')}"
            f"+{_end('i_tool_cost*i_tool_salvage', '(i_tool_cost+i_tool_installation)', 'i_tool_life')})*{{price}}"
            if last else "0"
        ),
        "book_left": "{kiln_book}+{tool_book}+{late_book}" if last else "0",
        "cleanup": "i_cleanup*{price}" if last else "0",
        "profit": "{operating}-{parts}-{kiln_written}-{tool_written}-{late_written}"
        "+{resale}-{book_left}-{cleanup}",
        "carried": "MAX({-carried}-{profit},0)", "tax": "MAX({profit}-{-carried},0)*i_tax",
        "cash": "{operating}-{parts}-{kiln_buy}-{tool_buy}-{late_buy}+{resale}-{cleanup}-{tax}"
        + ("+i_working_capital" if last else ""),
        "worth": "{cash}/(1+i_rate)^{year}",
        "interest": f"SUM(Loan!B{12 * t - 10}:B{12 * t + 1})",
        "principal": f"SUM(Loan!C{12 * t - 10}:C{12 * t + 1})",
        "grant": "i_grant" if t == 1 else "0",
        "owner_profit": "{profit}-{interest}+{grant_written}"
        + ("" if is_excluded else "+{grant}") + ("+{grant_book}" if is_excluded and last else ""),
        "owner_carried": "MAX({-owner_carried}-{owner_profit},0)",
        "owner_tax": "MAX({owner_profit}-{-owner_carried},0)*i_tax",
        "owner_cash": "{cash}+{tax}-{owner_tax}+{grant}-{interest}-{principal}",
        "owner_worth": "{owner_cash}/(1+i_rate)^{year}",
    }  # fmt: skip
    if t <= CASE["loan_years"]:
        found["coverage"] = (
            "({operating}-{parts}-{kiln_buy}-{tool_buy}-{late_buy}-{owner_tax})/({interest}+{principal})"
        )
    return found


def _months(sheet: object) -> None:
    """Row m + 1: A month, B calendar month, C sales less selling, D other operating, E debt, F rest, G balance."""
    sheet["G1"] = "=i_working_capital"
    for month in range(1, 25):
        row, year = month + 1, (month - 1) // 12 + 1
        at = letter(year + 2)

        def cell(name: str, at: str = at) -> str:
            return f"Years!{at}{AT[name]}"

        sheet.cell(row, 1, month)
        sheet.cell(row, 2, f"=MOD(i_first_month+A{row}-2,12)+1")
        weight = f"IF(AND(B{row}>=3,B{row}<=5),i_spring/3,(1-i_spring)/9)"
        sheet.cell(row, 3, f"=({cell('sales')}-{cell('selling')})*{weight}")
        sheet.cell(row, 4, f"=({cell('operating')}-{cell('sales')}+{cell('selling')})/12")
        sheet.cell(row, 5, f"=Loan!B{row}+Loan!C{row}")
        rest = f"{cell('owner_cash')}-{cell('operating')}+{cell('interest')}+{cell('principal')}"
        sheet.cell(row, 6, f"={rest}" if month % 12 == 0 else 0)
        sheet.cell(row, 7, f"=G{row - 1}+C{row}+D{row}-E{row}+F{row}")
