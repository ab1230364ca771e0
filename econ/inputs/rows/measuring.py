"""Rows about measuring before signing: what each measurement costs, and when it is worth waiting for."""

from __future__ import annotations

from econ.inputs.schema import Row, Section

_DEEP = "Used by a deep run (--deep) only."


def _price(name: str, label: str, text: str) -> Row:
    return Row(
        key=f"measure.{name}_price",
        label=label,
        units=("$",),
        lowest=0.0,
        highest=1e7,
        fixed=True,
        if_blank="not known: counted as nothing, and said so",
        help=f"{text} {_DEEP}",
    )


BATCH = _price(
    "batch",
    "Price of one weighed trial firing",
    "Hire, carriage, fuel and people of firing one load of your own bones in such a kiln, all weighed.",
)
SPREAD = Row(
    key="measure.batch_spread_share",
    label="How much one firing differs from the next (standard deviation)",
    units=("fraction", "%"),
    us="%",
    lowest=0.0,
    highest=1.0,
    default=0.1,
    fixed=True,
    if_blank="10 % of the value (assumed), or what the kiln log shows",
    help=f"Of yield, fuel and hours alike: it decides how much a few firings can tell. {_DEEP}",
)
ASSAY = _price(
    "assay",
    "Price of a lab assay of total and available P",
    "Of char from your own bones, sampled as the lab says.",
)
QUOTE = _price(
    "quote", "Price of a binding written quote", "For kiln and installation; often free, seldom binding."
)
LETTERS = _price(
    "letters",
    "Price of letters of intent from buyers",
    "Your hours and samples to get them, at the prices assumed.",
)
STACK = _price("stack", "Price of a stack test", "On a kiln of the same kind, for methane and nitrous oxide.")
TERMS = _price(
    "terms",
    "Price of written terms for today's handling",
    "Hours to get the hauler's or renderer's terms in writing.",
)
WEIGHING = _price("weighing", "Price of weighing all bones for some weeks", "Scales, bins and hours.")
LEAST_GAIN = Row(
    key="rule.least_measuring_share",
    label="Measure first only where it may bring at least this share of the outlay",
    units=("fraction", "%"),
    us="%",
    lowest=0.0,
    highest=1.0,
    default=0.01,
    fixed=True,
    if_blank="1 % of all that is bought in year 0 (a choice of kilncase, not a standard)",
    help=f"Worth of measuring less its price. Below that, waiting is not worth the trouble. {_DEEP}",
)
ROWS = (BATCH, SPREAD, ASSAY, QUOTE, LETTERS, STACK, TERMS, WEIGHING, LEAST_GAIN)
SECTION = Section(
    "Measuring before signing", ROWS, "What each measurement would cost; a deep run says what each could be worth."
)
