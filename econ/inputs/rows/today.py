"""Rows about what is done with the bones today."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

OPTIONS = (
    Option("rendering", "a renderer picks them up", ("render", "renderer")),
    Option("landfill", "they go to a landfill"),
    Option("composting", "they are composted here", ("compost",)),
    Option("burial", "they are buried", ("bury",)),
    Option("other", "something else", ("mix",)),
)

OPTION = Row(
    key="current.option",
    label="What happens to the bones today",
    kind="choice",
    choices=OPTIONS,
    default="rendering",
    if_blank="a renderer picks them up",
    help="Current practice: the kiln is compared with it.",
)
SAVING = Row(
    key="current.saving",
    label="How much lower today's bill would be without the bones",
    units=("$ per month", "$ per week", "$ per year"),
    lowest=-1e8,
    highest=1e8,
    required=True,
    help="Ask the hauler: a pick-up fee often stays when bones leave. Negative if the renderer pays you. "
    "For own composting: the hours, chips and fuel that would really end.",
)
FEE = Row(
    key="current.fee",
    label="What today's way costs on average",
    units=("$ per tonne", "$ per kg", "$ per lb", "$ per short_ton"),
    us="$ per lb",
    lowest=-100.0,
    highest=100.0,
    if_blank="not shown",
    help="A year's bill ÷ a year's bones. For comparison only; the line above is what enters the money.",
)
