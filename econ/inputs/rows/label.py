"""Rows about the label of the char."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

NAME = Row(
    key="label.product",
    label="Name of the product on the label",
    kind="text",
    if_blank="no sheet for the label",
    help="Filled, the results carry a sheet with what a label would state. It is no legal advice.",
)
NET_WEIGHT = Row(
    key="label.net_weight",
    label="Net weight on the label",
    units=("kg", "lb"),
    us="lb",
    lowest=0.0,
    above_lowest=True,
    highest=5000.0,
    fixed=True,
    if_blank="that of a bag on the sheet Products, else left open",
    help="At the water content as sold.",
)
TOTAL = Row(
    key="label.total_phosphate",
    label="Total phosphate may be stated beside the available",
    kind="choice",
    choices=(Option("no", "no, or not asked yet"), Option("yes", "yes: your office allows it for bone")),
    if_blank="no, or not asked yet",
    help="Some offices allow it for unacidulated bone and mineral phosphate. Never in the grade.",
)
PLACE = Row(
    key="label.place",
    label="State or country where it is sold",
    kind="text",
    if_blank="not said",
    help="Each has its own office and form.",
)
MAKER = Row(
    key="label.maker",
    label="Who answers for it: name and address",
    kind="text",
    if_blank="left open on the sheet",
    help="A label names the guarantor.",
)
LABEL = (NAME, NET_WEIGHT, TOTAL, MAKER, PLACE)
