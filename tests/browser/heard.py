"""What Chromium tells a screen reader of the panels on a page, and what is wrong with it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

CONTROLS = {"button", "checkbox", "combobox", "link", "slider", "spinbutton", "textbox"}
PLAIN_NUMBERS = {"row", "exact load factor"}
"""Number boxes that have no unit."""
UNIT = re.compile(r", (mm|kg|dB|times .*)$")


@dataclass(frozen=True)
class Node:
    """One thing that is heard: role, name, value, description, states, and the names of the groups it is in."""

    role: str
    name: str
    value: str
    description: str
    states: dict[str, Any]
    groups: tuple[str, ...] = ()
    below: tuple[Node, ...] = field(default=(), repr=False)

    def all(self) -> Iterator[Node]:
        """Return this and everything below it, in the order of the page."""
        yield self
        for node in self.below:
            yield from node.all()


def heard(page: Any, selector: str = ".wallcalc-panel") -> list[Node]:
    """Return what is heard of each element of a selector, each scrolled into view: what is out of it is not there."""
    found = []
    session = page.context.new_cdp_session(page)
    session.send("Accessibility.enable")
    for number in range(page.locator(selector).count()):
        page.locator(selector).nth(number).evaluate("e => e.scrollIntoView()")
        page.wait_for_timeout(150)
        element = f"document.querySelectorAll({selector!r})[{number}]"
        inside = session.send("Runtime.evaluate", {"expression": element})["result"]["objectId"]
        elements = list(
            _elements(session.send("DOM.describeNode", {"objectId": inside, "depth": -1})["node"])
        )
        wanted = {e["backendNodeId"] for e in elements}
        words = {e["backendNodeId"]: said for e in elements if (said := _value_in_words(e))}
        nodes = {n["nodeId"]: n for n in session.send("Accessibility.getFullAXTree")["nodes"]}
        tops = [
            n
            for n in nodes.values()
            if n.get("backendDOMNodeId") in wanted
            and nodes.get(n.get("parentId"), {}).get("backendDOMNodeId") not in wanted
        ]
        below = tuple(found for top in tops for found in _read(top, nodes, words, ()))
        found.append(Node("panel", "", "", "", {}, (), below))
    session.detach()
    return found


def troubles(panel: Node) -> list[str]:
    """Return what a person who only hears a panel would miss."""
    nodes = list(panel.all())
    found = [t for node in nodes for t in _troubles_of(node)]
    seen = Counter((n.groups, n.role, n.name) for n in nodes if n.role in CONTROLS)
    found += [
        f"heard alike: {role} {name!r} in {groups}" for (groups, role, name), k in seen.items() if k > 1
    ]
    level = 1
    for node in nodes:
        if node.role == "heading":
            if node.states["level"] > level + 1:
                found.append(f"heading {node.name!r} of level {node.states['level']} under level {level}")
            level = node.states["level"]
    return found


def _troubles_of(node: Node) -> Iterator[str]:
    said = f"{node.role} {node.name!r}"
    if node.role in CONTROLS:
        if not re.search(r"\w{2}|\d", node.name):
            yield f"without a name: {said} ({node.value})"
        if re.search("null|undefined|[▸▾✓]", node.name + node.description):
            yield f"not for ears: {said}"
    if (
        node.role in ("slider", "spinbutton")
        and node.name not in PLAIN_NUMBERS
        and not UNIT.search(node.name)
    ):
        yield f"without a unit: {said}"
    if node.role == "slider" and (unit := UNIT.search(node.name)) and not node.value.endswith(f" {unit[1]}"):
        yield f"value without a unit: {said} {node.value!r}"
    is_open = {"Show": False, "Hide": True}.get(node.name.partition(":")[0])
    if node.role == "button" and is_open is not None and node.states.get("expanded") is not is_open:
        yield f"open or closed is not said: {said}"
    if node.states.get("invalid") == "true" and not node.description:
        yield f"wrong, and why is not said: {said}"
    if node.role == "image" and not (len(node.name) > 40 and re.search(r"\d", node.name)):
        yield f"a picture without its finding: {said}"
    if node.role == "table" and not node.name:
        yield "a table without a caption"
    if node.role == "table" and not any(n.role == "columnheader" and n.name for n in node.all()):
        yield f"a table without heads: {node.name}"


def _elements(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield node
    for child in node.get("children", []):
        yield from _elements(child)


def _value_in_words(element: dict[str, Any]) -> str:
    """Return what stands for a value where its number alone says too little (aria-valuetext), "" when nothing does.

    Chromium hands it to screen readers (test_native_tree_browser.py), but what it tells of a node over its protocol
    leaves it out in newer versions (156 does) and gives the number.
    """
    pairs = element.get("attributes", [])
    return str(dict(zip(pairs[::2], pairs[1::2], strict=True)).get("aria-valuetext", ""))


def _read(
    node: dict[str, Any], nodes: dict[str, Any], words: dict[int, str], groups: tuple[str, ...]
) -> tuple[Node, ...]:
    role, name = _text(node, "role"), _text(node, "name")
    if role in ("InlineTextBox", "MenuListPopup"):
        return ()
    inside = (*groups, name) if role in ("group", "region") and name and not node["ignored"] else groups
    children = (nodes[k] for k in node.get("childIds", []) if k in nodes)
    below = tuple(found for child in children for found in _read(child, nodes, words, inside))
    if node["ignored"] or role in ("generic", "none", "LabelText"):
        return below
    states = {p["name"]: p["value"].get("value") for p in node.get("properties", [])}
    value = words.get(node.get("backendDOMNodeId", 0)) or str(states.get("valuetext") or _text(node, "value"))
    value = value.replace("\xa0", " ")
    return (Node(role, name, value, _text(node, "description"), states, groups, below),)


def _text(node: dict[str, Any], key: str) -> str:
    return str(node.get(key, {}).get("value", ""))
