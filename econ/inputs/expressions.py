"""The small language of the tables of checks: arithmetic, comparisons and calls of named functions, and no more.

`kiln.life > 0 and not blank('fuel.1.price')`: a dotted name is the value of that row, a name a figure or function
of the scope, a text in quotes a text. Nothing else of Python can be said.
"""

from __future__ import annotations

import ast
import operator
import re
import string
from collections.abc import Callable, Mapping
from functools import cached_property
from keyword import iskeyword
from typing import Any

from econ.errors import FactorError
from econ.fields import record

Scope = Mapping[str, Any]
Code = Callable[[Scope], Any]

_KEY = re.compile(r"""("[^"]*"|'[^']*')|\b([a-z]\w*(?:\.\w+)+)""")
_OPERATORS: Mapping[type[ast.AST], Callable[..., Any]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.USub: operator.neg, ast.Not: operator.not_, ast.Lt: operator.lt, ast.LtE: operator.le,
    ast.Gt: operator.gt, ast.GtE: operator.ge, ast.Eq: operator.eq, ast.NotEq: operator.ne,
    ast.In: lambda one, many: one in many, ast.NotIn: lambda one, many: one not in many,
}  # fmt: skip


@record(frozen=True, slots=True)
class Expression:
    """An expression ready to be asked in a scope, and its text in Python."""

    code: Code
    text: str


def expression(text: str, at: str) -> Expression:
    """The expression of a text; FactorError, with the place `at`, for what the language does not hold."""
    python = _KEY.sub(lambda found: found[1] or f'row("{found[2]}")', text).strip()
    if python.isidentifier() and not iskeyword(python):  # as most of the places to fill: no need of a parser
        return Expression(_code(ast.Name(python)), python)
    try:
        return Expression(_code(ast.parse(python, mode="eval").body), python)
    except (SyntaxError, KeyError) as odd:
        raise FactorError(f"{at}: {text!r} is no expression ({odd})") from None


def _code(node: ast.AST) -> Code:
    """A function of the scope for a node of the tree; KeyError for one that the language does not hold."""
    match node:
        case ast.Constant(value=value):
            return lambda scope: value
        case ast.Name(id=name):
            return lambda scope: scope[name]
        case ast.Tuple(elts=parts):
            each = [_code(part) for part in parts]
            return lambda scope: tuple(one(scope) for one in each)
        case ast.BinOp(left=left, op=op, right=right):
            a, b, how = _code(left), _code(right), _OPERATORS[type(op)]
            return lambda scope: how(a(scope), b(scope))
        case ast.UnaryOp(op=op, operand=operand):
            a, how = _code(operand), _OPERATORS[type(op)]
            return lambda scope: how(a(scope))
        case ast.BoolOp(op=op, values=values):
            each, stops = [_code(value) for value in values], isinstance(op, ast.Or)
            return lambda scope: _chosen(each, stops, scope)
        case ast.IfExp(test=test, body=body, orelse=other):
            asked, yes, no = _code(test), _code(body), _code(other)
            return lambda scope: yes(scope) if asked(scope) else no(scope)
        case ast.Compare(left=left, ops=ops, comparators=others):
            a, b, how = _code(left), _code(others[0]), _OPERATORS[type(ops[0])]
            if len(ops) == 1:
                return lambda scope: how(a(scope), b(scope))
            steps = [(_OPERATORS[type(op)], _code(other)) for op, other in zip(ops, others, strict=True)]
            return lambda scope: _compared(a(scope), [(how, side(scope)) for how, side in steps])
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]):
            each = [_code(one) for one in args]
            return lambda scope: scope[name](*(one(scope) for one in each))
    raise KeyError(type(node).__name__)


def _chosen(each: list[Code], stops: bool, scope: Scope) -> Any:
    """The first value that settles an `or` (`stops` is True) or an `and`, else the last."""
    value: Any = None
    for one in each:
        value = one(scope)
        if bool(value) == stops:
            return value
    return value


def _compared(value: Any, steps: list[tuple[Callable[..., Any], Any]]) -> bool:
    return all(how(value, value := other) for how, other in steps)


@record(frozen=True)
class Sentence:
    """A text with places to fill, and the file and line that it stands in."""

    text: str
    at: str

    @cached_property
    def pieces(self) -> tuple[tuple[str, Expression | None, str], ...]:
        """Texts, each with the expression behind it and its format, read when said; `{x!r}` puts x in quotes."""
        return tuple(
            (piece, None if field is None else expression(f"repr({field})" if how else field, self.at), spec or "")
            for piece, field, spec, how in string.Formatter().parse(self.text)
        )

    def filled(self, scope: Scope) -> str:
        """The sentence in a scope."""
        return "".join(
            text + ("" if one is None else format(one.code(scope), spec)) for text, one, spec in self.pieces
        )
