"""What a screen reader is told of a panel beyond what the widgets tell it: names, units, states, what has changed.

The widgets have no traits for it, so a script beside the panel puts it on the page, by the classes below, and again
whenever they change.
"""

from __future__ import annotations

from typing import Any

LIVE, ALERT = "wallcalc-live", "wallcalc-alert"
"""Classes of a widget whose new text is said at once: when nothing else is being said, and before all else."""
FOLD, OPEN = "wallcalc-fold-head", "wallcalc-open"
"""Classes of a button that opens something, and of one that has opened it."""
HEAD, BODY = "wallcalc-head-", "wallcalc-body-"
"""Classes that, with the same number at their end, belong to such a button and to what it opens."""
PRESS, ON = "wallcalc-press", "wallcalc-on"
"""Classes of a button that is one of a choice, and of the chosen one."""
GROUP, CELLS, WRONG = "wallcalc-choices", "wallcalc-cells", "wallcalc-wrong"
"""Classes of a labelled row of buttons, of a row of boxes with its problems under it, of a box with a problem."""


def live(widget: Any, *, alert: bool = False) -> Any:
    """Return the widget, its text said whenever it changes."""
    widget.add_class(ALERT if alert else LIVE)
    return widget


SCRIPT = (
    """
if (!window.wallcalcSpoken) {
  window.wallcalcSpoken = true;
  let made = 0;
  const text = e => e ? e.textContent.trim() : '';
  const own = e => e.id || (e.id = `wallcalc-${++made}`);
  const set = (e, name, value) => {
    if (value === null) e.removeAttribute(name);
    else if (e.getAttribute(name) !== value) e.setAttribute(name, value);
  };
  const stamp = panel => {
    const each = (kind, act) => panel.querySelectorAll(kind).forEach(act);
    if (panel.querySelector('h2')) {
      set(panel, 'role', 'region');
      set(panel, 'aria-label', text(panel.querySelector('h2')));
    }
    each('.LIVE', e => set(e, 'role', 'status'));
    each('.ALERT', e => set(e, 'role', 'alert'));
    each('.FOLD', e => {
      set(e, 'aria-expanded', `${e.classList.contains('OPEN')}`);
      const number = /HEAD(\\d+)/.exec(e.className), body = number && panel.querySelector(`.BODY${number[1]}`);
      if (!body) return;
      set(e, 'aria-controls', own(body));
      set(body, 'role', 'group');
      set(body, 'aria-label', text(e).replace(/^\\w+: /, ''));
    });
    each('.PRESS', e => set(e, 'aria-pressed', `${e.classList.contains('ON')}`));
    each('.GROUP', e => {
      const label = e.querySelector('.widget-label');
      set(e, 'role', 'group');
      if (label) set(e, 'aria-label', text(label));
    });
    each('button[title]', e => {
      if (e.title.toLowerCase().includes(text(e).toLowerCase())) set(e, 'aria-label', e.title);
    });
    each('[title=null]', e => e.removeAttribute('title'));
    each('.widget-slider', e => {
      const handle = e.querySelector('.noUi-handle'), label = text(e.querySelector('.widget-label'));
      if (!handle) return;
      const unit = label.includes(', ') ? ' ' + label.split(', ').pop() : '';
      set(handle, 'aria-label', label);
      set(handle, 'aria-valuetext', parseFloat(handle.getAttribute('aria-valuenow')) + unit);
      set(handle, 'aria-disabled', `${!!e.querySelector('.noUi-target[disabled]')}`);
    });
    each('input[type=number]', e => set(e, 'aria-invalid', 'false'));
    each('.CELLS', row => row.querySelectorAll('input, select').forEach(e => {
      const wrong = !!e.closest('.WRONG');
      set(e, 'aria-invalid', `${wrong}`);
      set(e, 'aria-describedby', wrong && row.nextElementSibling ? own(row.nextElementSibling) : null);
    }));
  };
  const all = () => document.querySelectorAll('.wallcalc-panel').forEach(stamp);
  const kind = '.wallcalc-panel';
  new MutationObserver(records => {
    const changed = new Set();
    for (const {target, addedNodes} of records) {
      const inside = target.closest && target.closest(kind);
      if (inside) changed.add(inside);
      else for (const e of addedNodes) {
        if (!e.querySelectorAll) continue;
        if (e.matches(kind)) changed.add(e);
        e.querySelectorAll(kind).forEach(found => changed.add(found));
      }
    }
    changed.forEach(stamp);
  }).observe(document.body, {subtree: true, childList: true,
    attributeFilter: ['class', 'title', 'disabled', 'aria-valuenow', 'aria-valuetext']});
  window.addEventListener('change', event => {
    const box = event.target;
    if (!(box instanceof HTMLInputElement) || box.type !== 'number' || !box.closest(kind)) return;
    const widget = box.closest('.jupyter-widgets'), value = parseFloat(box.value);
    const low = parseFloat(box.min), high = parseFloat(box.max);
    const taken = Math.min(Math.max(value, low), high);
    let note = widget.nextElementSibling;
    if (!note || !note.classList.contains('wallcalc-limits')) {
      if (value === taken) return;
      note = document.createElement('div');
      note.className = 'wallcalc-note wallcalc-limits';
      note.setAttribute('role', 'alert');
      widget.after(note);
    }
    note.textContent = value === taken ? ''
      : `${isNaN(value) ? 'No number' : value + ' is not taken'}; it goes from ${low} to ${high}.`;
  }, true);
  all();
}
""".replace("LIVE", LIVE)
    .replace("ALERT", ALERT)
    .replace("FOLD", FOLD)
    .replace("OPEN", OPEN)
    .replace("HEAD", HEAD)
    .replace("BODY", BODY)
    .replace("PRESS", PRESS)
    .replace("GROUP", GROUP)
    .replace("CELLS", CELLS)
    .replace("WRONG", WRONG)
    .replace("'ON'", f"'{ON}'")
)
"""Names sliders with their unit, marks what is live, open, chosen or wrong, and says the limits of a number box."""
