"""The browser tests meet the same letters on every machine, or what is clipped would depend on its fonts."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ("sans-serif", "DejaVuSans"),
        ("system-ui", "DejaVuSans"),
        ("serif", "DejaVuSans"),
        ("Arial, Helvetica, sans-serif", "DejaVuSans"),
        ("monospace", "DejaVuSansMono"),
        ("'DejaVu Sans Condensed'", "DejaVuSans"),
        ("STIXGeneral", "DejaVuSans"),
    ],
)
def test_the_browser_finds_no_fonts_of_the_machine(chromium, asked, shown):
    page = chromium.new_page()
    page.set_content(f'<p style="font-family: {asked}">3840 mm</p>')
    session = page.context.new_cdp_session(page)
    session.send("DOM.enable")
    session.send("CSS.enable")
    root = session.send("DOM.getDocument")["root"]["nodeId"]
    node = session.send("DOM.querySelector", {"nodeId": root, "selector": "p"})["nodeId"]
    fonts = session.send("CSS.getPlatformFontsForNode", {"nodeId": node})["fonts"]
    page.close()
    assert [font["postScriptName"] for font in fonts] == [shown]
