"""Level sites for tests of what frames and boards stand in."""

from functools import cache

import wallcalc as wc
from wallcalc.geometry.profile import Profile
from wallcalc.site.frame_rules import frame_rules
from wallcalc.site.site import Site


@cache
def uk_rules():
    """Return what framing reads of the rules under uk."""
    return frame_rules(wc.Rules.load("uk"))


def level_profile(length, height, thickness=380, floor_gap=120):
    """Return the lines of a level wall, 0.1 mm."""
    return Profile.level(length, height, thickness, floor_gap)


def level_site(length, height, clears=(), rules=None, thickness=380, depth=890):
    """Return the site of a level wall, 0.1 mm."""
    rules = rules or uk_rules()
    profile = level_profile(length, height, thickness)
    return Site(profile, tuple(clears), "38x89", thickness, depth, 54_000, rules)
