"""wallcalc: a parametric study of a non-load-bearing timber stud partition.

import wallcalc as wc
wall = wc.Wall.load("my_wall.toml")
chosen = wc.design(wall, wc.Option(stud_centres=400, fill="wool-75"))
table = wc.study(wall, wc.options(stud_centres=[300, 400, 600]))
wc.export(chosen, "my_wall")
"""

from wallcalc.errors import OptionError, PriceError, Problem, Refusal, RuleError, WallError
from wallcalc.given import Wall
from wallcalc.option_grid import Option, options
from wallcalc.pipeline import design
from wallcalc.price_book import PriceBook
from wallcalc.result import Design
from wallcalc.rule_book import Rules
from wallcalc.sweep import study
from wallcalc.unbeaten import trade_offs
from wallcalc.write_csv import export

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
