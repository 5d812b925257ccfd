"""wallcalc: a parametric study of a non-load-bearing timber stud partition.

import wallcalc as wc
wall = wc.Wall.load("my_wall.toml")
chosen = wc.design(wall, wc.Option(stud_centres=400, fill="wool-75"))
table = wc.study(wall, wc.options(stud_centres=[300, 400, 600]))
wc.export(chosen, "my_wall")
"""

from wallcalc.designing.pipeline import design
from wallcalc.designing.result import Design
from wallcalc.designing.sweep import study
from wallcalc.designing.unbeaten import trade_offs
from wallcalc.errors import OptionError, PriceError, Problem, Refusal, RuleError, WallError
from wallcalc.given.option import Option, options
from wallcalc.given.wall import Wall
from wallcalc.output.export import export
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

__version__ = "0.1.0"

__all__ = [
    "Design",
    "Option",
    "OptionError",
    "PriceBook",
    "PriceError",
    "Problem",
    "Refusal",
    "RuleError",
    "Rules",
    "Wall",
    "WallError",
    "design",
    "export",
    "options",
    "study",
    "trade_offs",
]
