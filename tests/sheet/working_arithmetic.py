"""Work out a printed line of arithmetic, apart from the program that printed it.

Knows + - x / ^, brackets, pi, sqrt, abs, min, max, sin, cos and tan in degrees, and arrows
``(492 at 276 deg)``. Nothing of the package is used here.
"""

import ast
import cmath
import math
import operator
import re
from typing import Any

_ARROW = re.compile(r"\((-?[\d.]+) at (-?[\d.]+) deg\)")
_OPERATORS: dict[type, Any] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
    ast.LtE: operator.le,
    ast.GtE: operator.ge,
    ast.Lt: operator.lt,
    ast.Gt: operator.gt,
}
_FUNCTIONS: dict[str, Any] = {
    "sqrt": math.sqrt,
    "abs": abs,
    "min": min,
    "max": max,
    "sin": lambda degrees: math.sin(math.radians(degrees)),
    "cos": lambda degrees: math.cos(math.radians(degrees)),
    "tan": lambda degrees: math.tan(math.radians(degrees)),
    "arrow": lambda length, degrees: cmath.rect(length, math.radians(degrees)),
}


def evaluate(text: str) -> Any:
    """Return the value of a line of arithmetic: a number, a complex number, or true or false."""
    words = _ARROW.sub(r"arrow(\1, \2)", text).replace(" x ", " * ").replace("^", "**")
    return _value(ast.parse(words, mode="eval").body)


def _value(node: ast.AST) -> Any:
    match node:
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id="pi"):
            return math.pi
        case ast.BinOp(left, op, right):
            return _OPERATORS[type(op)](_value(left), _value(right))
        case ast.UnaryOp(op, operand):
            return _OPERATORS[type(op)](_value(operand))
        case ast.Compare(left, [op], [right]):
            return _OPERATORS[type(op)](_value(left), _value(right))
        case ast.Call(ast.Name(id=name), arguments, []):
            return _FUNCTIONS[name](*map(_value, arguments))
    raise ValueError(f"not arithmetic: {ast.dump(node)}")


def misfit(numbers: str, result: str) -> float:
    """Return how far arithmetic and printed result lie apart, in units of the printed rounding.

    1 is half a unit of the last printed digit; for an arrow the half units of its length and of
    its angle together. A comparison fits (0) when it holds.
    """
    value = evaluate(numbers)
    if isinstance(value, bool):
        return 0.0 if value else math.inf
    printed = re.match(r"(-?[\d.]+)(?: ([^\d].*?))?(?: at ([\d.]+) deg)?$", result)
    assert printed, result
    size, angle = float(printed[1]), printed[3]
    half = 0.5 * 10.0 ** -_decimals(printed[1])
    if angle is None:
        return abs(abs(value) - size if isinstance(value, complex) else value - size) / half
    turned = math.radians(0.5 * 10.0 ** -_decimals(angle))
    away = abs(value - cmath.rect(size, math.radians(float(angle))))
    return away / math.hypot(half, size * turned)


def _decimals(number: str) -> int:
    return len(number.partition(".")[2])
