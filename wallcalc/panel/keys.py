"""Keys pressed in a panel are the panel's: arrows in a drop-down do not move between the notebook's cells."""

from __future__ import annotations

from typing import Any

from IPython.display import Javascript, display

from wallcalc.panel.spoken import SCRIPT as SPOKEN

SCRIPT = """
if (!window.wallcalcKeys) {
  window.wallcalcKeys = true;
  window.addEventListener('keydown', event => {
    const at = event.target;
    if (at instanceof Element && at.closest('.wallcalc-panel')) at.setAttribute('data-lm-suppress-shortcuts', 'true');
  }, true);
}
"""
"""Marks what has the focus so that JupyterLab leaves its keys alone: without it arrows in a drop-down move to another
cell, and single letters cut or add cells."""


class OwnKeys:
    """Put before a widget class: the scripts go with the panel wherever it is shown."""

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        display(Javascript(SCRIPT + SPOKEN))
        return super()._repr_mimebundle_(**kwargs)  # type: ignore[misc]
