"""The small language of the tables of checks: arithmetic, comparisons and calls of named functions, and no more.

`kiln.life > 0 and not blank('fuel.1.price')`: a dotted name is the value of that row, a name a figure or function
of the scope, a text in quotes a text. Nothing else of Python can be said.
"""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from econ.errors import FactorError

Scope = Mapping[str, Any]

_KEY = re.compile(r"""("[^"]*"|'[^']*')|\b([a-z]\w*(?:\.\w+)+)""")
_HELD = (
    ast.Constant, ast.Name, ast.Load, ast.Tuple, ast.Call, ast.IfExp, ast.Compare, ast.cmpop, ast.BoolOp,
    ast.boolop, ast.BinOp, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.UnaryOp, ast.USub, ast.Not,
)  # fmt: skip
"""All that the language holds: no attribute, no index, no name but those of the scope."""


@dataclass(frozen=True, slots=True)
class Expression:
    """An expression ready to be asked in a scope, the names in it and the texts."""

    code: Callable[[Scope], Any]
    names: frozenset[str]
    texts: frozenset[str]


def expression(text: str, at: str) -> Expression:
    """The expression of a text; FactorError, with the place `at`, for what the language does not hold."""
    try:
        tree = ast.parse(_KEY.sub(lambda found: found[1] or f'row("{found[2]}")', text).strip(), mode="eval")
        nodes = list(ast.walk(tree.body))
        for node in nodes:
            if not isinstance(node, _HELD) or getattr(node, "keywords", None):
                raise SyntaxError(type(node).__name__)
        return Expression(
            partial(eval, compile(tree, at, "eval"), {"__builtins__": {}}),
            frozenset(node.id for node in nodes if isinstance(node, ast.Name)),
            frozenset(
                node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)
            ),
        )
    except SyntaxError as odd:
        raise FactorError(f"{at}: {text!r} is no expression ({odd.msg})") from None


@dataclass(frozen=True, slots=True)
class Sentence:
    """A text with places to fill: pieces of text, each with the expression behind it and its format."""

    pieces: tuple[tuple[str, Expression | None, str], ...]

    @classmethod
    def of(cls, text: str, at: str) -> Sentence:
        """The pieces of a sentence; `{x!r}` puts quotation marks around x."""
        return cls(
            tuple(
                (piece, None if field is None else expression(f"repr({field})" if how else field, at), spec or "")
                for piece, field, spec, how in string.Formatter().parse(text)
            )
        )

    def filled(self, scope: Scope) -> str:
        """The sentence in a scope."""
        return "".join(
            text + ("" if one is None else format(one.code(scope), spec)) for text, one, spec in self.pieces
        )
