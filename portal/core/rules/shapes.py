"""Every shape of a computed value by its name, with the keys it knows."""

from portal.core.rules.choosing import Bands, Cases, Lookup
from portal.core.rules.quantities import ARITHMETIC, Arithmetic, ByStage, FirstKnown, Rounded, Shape
from portal.core.rules.sums import OverList, SumOfLines

SHAPES: dict[str, type[Shape]] = {
    **dict.fromkeys(ARITHMETIC, Arithmetic),
    **dict.fromkeys(("truncate", "floor_to", "round_to", "cents"), Rounded),
    "first_known": FirstKnown,
    "by_stage": ByStage,
    "lookup": Lookup,
    "bands": Bands,
    "cases": Cases,
    "sum_of_list": OverList,
    "count_of_list": OverList,
    "sum_of_lines": SumOfLines,
}

LINE_CHOICE_KEYS = {"measures", "all_but", "classes", "lines_where"}

SHAPE_KEYS: dict[str, set[str]] = {
    **{name: {"of"} for name in ARITHMETIC},
    "truncate": {"of", "decimals", "at_most"},
    "floor_to": {"of", "step", "at_most"},
    "round_to": {"of", "step", "at_most"},
    "cents": {"of", "at_most"},
    "first_known": {"of"},
    "by_stage": {"estimate", "request", "claim"},
    "lookup": {"by", "table", "values", "beyond_last_each_adds"},
    "bands": {"by", "percent_of", "bands", "when_unknown"},
    "cases": {"cases", "otherwise"},
    "sum_of_list": {"list", "field", "where"},
    "count_of_list": {"list", "where"},
    "sum_of_lines": {"what", "among", "matching"} | LINE_CHOICE_KEYS,
}
