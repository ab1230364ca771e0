"""Rows about ranges: how low, value and high are read, what moves together, and the rule of the finding."""

from __future__ import annotations

from econ.inputs.schema import Block, Option, Row

SHAPES = (
    Option("triangular", "most likely at the value, straight to both ends (triangular)", ("triangle",)),
    Option("pert", "most likely at the value, ends rare (PERT)", ("beta-pert",)),
    Option("uniform", "anything from low to high alike (uniform)", ("even", "flat")),
    Option("lognormal", "value is the middle, long tail upward (lognormal)", ("log-normal",)),
)
FIXED = Option("fixed", "held at its value (fixed)", ("constant", "none"))

_NAMED = "The input's key as it stands in the last column of its row, such as product.1.price."

SHAPE = Row(
    key="ranges.shape",
    label="How chances are spread from low over value to high",
    kind="choice",
    choices=SHAPES,
    default="triangular",
    if_blank="triangular",
    help="For every input with a low and a high. Lognormal: low to high holds the middle 90 %.",
)
TABLE_FIRST = Row(
    key="ranges.table_first",
    label="Two-way table: the input across",
    kind="text",
    if_blank="the input that moves the NPV most",
    help=_NAMED,
)
TABLE_SECOND = Row(
    key="ranges.table_second",
    label="Two-way table: the input down",
    kind="text",
    if_blank="the input that moves the NPV second most",
    help=_NAMED,
)
SPECIAL = Block(
    name="ranges.special",
    title="input",
    count=6,
    trigger="key",
    rows=(
        Row(
            key="key",
            label="An input with a shape of its own",
            kind="text",
            if_blank="all inputs take the shape above",
            help=_NAMED,
        ),
        Row(
            key="shape",
            label="Its shape",
            kind="choice",
            choices=(*SHAPES, FIXED),
            if_blank="must be chosen where an input is named",
            help="Fixed takes it out of the chances; its effect is still shown.",
        ),
    ),
)
TOGETHER = Block(
    name="together",
    title="pair",
    count=8,
    trigger="first",
    rows=(
        Row(
            key="first",
            label="Moves together: one input",
            kind="text",
            if_blank="all inputs move on their own, which makes the spread look smaller than it is",
            help=f"{_NAMED} Think of prices of two tiers, of char and fertiliser, of two fuels.",
        ),
        Row(
            key="second",
            label="Moves together: the other input",
            kind="text",
            if_blank="must be named where one input is",
            help=_NAMED,
        ),
        Row(
            key="correlation",
            label="How closely (rank correlation)",
            units=("fraction", "%"),
            lowest=-1.0,
            highest=1.0,
            fixed=True,
            if_blank="must be given where inputs are named",
            help="1 always rise together, 0 nothing to do with each other, -1 one rises as the other falls. "
            "0.5 to 0.8 is usual for prices of one trade (common practice, no source).",
        ),
    ),
)
BUY_CHANCE = Row(
    key="rule.buy_at_loss_chance",
    label="Buy only where the chance of losing money is at most",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=20.0,
    fixed=True,
    if_blank="20 % (a choice of kilncase, not a standard)",
    help="How much risk you can carry. A plant that would not survive a bad kiln types less.",
)
REFUSE_CHANCE = Row(
    key="rule.refuse_at_loss_chance",
    label="Do not buy where the chance of losing money is at least",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=80.0,
    fixed=True,
    if_blank="80 % (a choice of kilncase, not a standard)",
    help="Between the two the finding is to measure first, where measuring could change it.",
)
LEAST_NPV = Row(
    key="rule.least_mean_npv",
    label="Least mean NPV worth the trouble",
    units=("$",),
    lowest=-1e9,
    highest=1e9,
    default=0.0,
    fixed=True,
    if_blank="0",
    help="What the kiln must bring over its years, in today's money, before you would bother.",
)
