"""Columns of the kiln log and of the lab assay."""

from __future__ import annotations

from econ.inputs.rows.garden import TRIALS
from econ.inputs.rows.kiln import FUEL
from econ.inputs.schema import Option, Row
from econ.inputs.table_records import TablePlan

DRY, RECEIVED = "dry", "as-received"
METALS = ("As", "Cd", "Co", "Cr", "Cu", "Hg", "Mo", "Ni", "Pb", "Se", "Zn")

_SHARE = ("%", "fraction")
_PHOSPHATE = ("% P2O5", "% P")
_TRACE = ("mg/kg", "%")
_MASS = ("kg", "lb", "tonne", "short_ton")
_FUEL_UNITS = next(row for row in FUEL.rows if row.key == "per_batch")


def _share(key: str, label: str, help_text: str = "") -> Row:
    return Row(key=key, label=label, units=_SHARE, lowest=0.0, highest=1.0, help=help_text)


def _trace(key: str, label: str) -> Row:
    return Row(key=key, label=label, units=_TRACE, lowest=0.0, highest=1.0)


LOG = TablePlan(
    name="log",
    sheet="Kiln log",
    intro="One line a firing, as written down beside the kiln. Leave a cell empty where it was not measured; "
    "type 0 only for a true nothing. Nothing here counts before you switch it on (sheet Kiln and crew).",
    ready=60,
    columns=(
        Row(key="log.date", label="Date", kind="date"),
        Row(key="log.bones_in", label="Raw bones in", units=_MASS, us="lb", lowest=0.0, above_lowest=True,
            highest=1e6, help="By weight, before anything is driven off."),
        _share("log.bones_moisture", "Water in the bones, if known"),
        *(
            Row(key=f"log.fuel_{n}", label=f"Fuel {n}", units=_FUEL_UNITS.units, us=_FUEL_UNITS.us, lowest=0.0,
                highest=1e6, help=f"Of the kind named as fuel {n}.")
            for n in range(1, FUEL.count + 1)
        ),
        Row(key="log.hours", label="Hours of people", units=("hours",), lowest=0.0, highest=500.0),
        Row(key="log.peak", label="Peak temperature in the load", units=("degC", "degF"), us="degF",
            lowest=100.0, highest=1300.0),
        Row(key="log.char_out", label="Char out", units=_MASS, us="lb", lowest=0.0, highest=1e6),
        _share("log.char_moisture", "Water in the char, if wetted"),
        Row(key="log.remark", label="Remark", kind="text"),
    ),
)  # fmt: skip

ASSAY = TablePlan(
    name="assay",
    sheet="Lab assay",
    intro="One line a sample, as the lab reports it. Say on which basis. For 'less than 0.1' type 0.1. Nothing "
    "here counts before you switch it on (sheet Products).",
    ready=12,
    columns=(
        Row(key="assay.date", label="Date", kind="date"),
        Row(key="assay.sample", label="Sample", kind="text"),
        Row(
            key="assay.basis", label="Basis", kind="choice", required=True,
            choices=(Option(RECEIVED, "as received", ("received", "fresh", "wet")),
                     Option(DRY, "dry", ("dry matter", "dry basis"))),
        ),
        _share("assay.moisture", "Moisture, as received"),
        Row(key="assay.p2o5", label="Total phosphate", units=_PHOSPHATE, lowest=0.0, highest=1.0),
        Row(key="assay.available", label="Available phosphate", units=_PHOSPHATE, lowest=0.0, highest=1.0),
        _share("assay.ca", "Calcium (Ca)"),
        _share("assay.c_total", "Total carbon"),
        _share("assay.c_org", "Organic carbon"),
        _share("assay.h", "Hydrogen"),
        _share("assay.n", "Nitrogen"),
        Row(key="assay.ph", label="pH", lowest=0.0, highest=14.0),
        *(_trace(f"assay.{metal.lower()}", metal) for metal in METALS),
        _trace("assay.pah16", "PAH, sum of 16"),
        _trace("assay.pah8", "PAH, sum of 8"),
        Row(key="assay.remark", label="Remark", kind="text"),
    ),
)  # fmt: skip

TABLES = (LOG, ASSAY, TRIALS)

NO_YES = (Option("no", "no: as typed"), Option("yes", "yes: as measured"))


def _use(key: str, what: str, table: str) -> Row:
    return Row(
        key=key, label=f"{what}: take it from the {table}", kind="choice", choices=NO_YES, default="no",
        if_blank="no: the typed value counts",
        help=f"Yes: the mean of the sheet '{table.capitalize()}' and its 95 % range replace what is typed.",
    )  # fmt: skip


USE_YIELD = _use("log.use_yield", "Char yield", "kiln log")
USE_FUEL = _use("log.use_fuel", "Fuel for one firing", "kiln log")
USE_HOURS = _use("log.use_hours", "Hours for one firing", "kiln log")
USE_AVAILABLE = _use("assay.use_available", "Available phosphate", "lab assay")
USE_P2O5 = _use("assay.use_p2o5", "Total phosphate", "lab assay")
USE_CALCIUM = _use("assay.use_calcium", "Calcium", "lab assay")
USE_ORGANIC = _use("assay.use_organic_carbon", "Organic carbon", "lab assay")
USE_HC = _use("assay.use_h_corg", "H/C_org", "lab assay")

LOG_SWITCHES = (USE_YIELD, USE_FUEL, USE_HOURS)
ASSAY_SWITCHES = (USE_P2O5, USE_AVAILABLE, USE_CALCIUM, USE_ORGANIC, USE_HC)
