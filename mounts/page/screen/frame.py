"""What every page has: heading, the way to the others, unit and light, colours of both."""

from __future__ import annotations

from typing import Any

from nicegui import ui

from mounts.page.lengths import UNITS

_CSS = """
:root { --ink:#1c2733; --soft:#4a5766; --ground:#f6f7f9; --card:#ffffff; --edge:#c9d0d8; --accent:#17537d;
        --good:#1d6b36; --warn:#8a4b00; --bad:#a3161b; --throw:#dfe6ee; --wanted:#b4d3bd; }
.body--dark { --ink:#e6ebf1; --soft:#aab6c3; --ground:#12181f; --card:#1b232c; --edge:#3d4956; --accent:#8fc7f0;
        --good:#7fd69a; --warn:#f2b866; --bad:#ff9c96; --throw:#2a3542; --wanted:#2f5a41; }
body { --q-primary:#17537d !important; --q-negative:#a3161b !important; }
body.body--dark { --q-primary:#8fc7f0 !important; --q-negative:#ff9c96 !important; }
body { background:var(--ground); color:var(--ink); font-size:16px; }
.nicegui-content { padding:0; display:block; width:100%; }
.top { display:flex; flex-wrap:wrap; gap:.5rem 1.25rem; align-items:center; padding:.6rem 1rem;
       background:var(--card); border-bottom:1px solid var(--edge); }
.top h1, .top [role=heading] { font-size:1.15rem; font-weight:600; margin:0; color:var(--ink); }
.top nav, .top .nav { display:flex; gap:1rem; flex:1; flex-wrap:wrap; }
.top a { color:var(--accent); padding:.3rem 0; text-decoration:none; border-bottom:2px solid transparent; }
.top a.here { border-bottom-color:var(--accent); font-weight:600; }
.bench { display:grid; grid-template-columns:minmax(300px,370px) minmax(0,1fr); gap:1rem; padding:1rem;
         align-items:start; max-width:1700px; margin:0 auto; width:100%; }
.bench > * { min-width:0; }
.card { background:var(--card); border:1px solid var(--edge); border-radius:8px; padding:.8rem 1rem; width:100%;
        margin-bottom:1rem; }
.card h2, .card h3 { font-size:1rem; font-weight:600; margin:.6rem 0 .4rem; color:var(--ink); }
.pair { display:grid; grid-template-columns:repeat(2,minmax(0,1fr)); gap:1rem; }
.pair > * { min-width:0; }
.tools { display:flex; flex-wrap:wrap; gap:.35rem .9rem; align-items:center; }
.slide { display:flex; align-items:center; gap:.8rem; flex:1 1 220px; min-width:200px; }
.slide .name { color:var(--soft); white-space:nowrap; }
.corner { display:grid; grid-template-columns:1fr 1fr; gap:.4rem; align-items:center; }
.corner:has(button) { grid-template-columns:1fr 1fr auto auto; }
.asked { width:100%; margin-bottom:.15rem; }
.told { border-left:4px solid var(--bad); padding:.5rem .8rem; margin:.4rem 0; background:var(--card); color:var(--ink);
        overflow-wrap:anywhere; }
.told .says { color:var(--bad); }
.ways:empty { display:none; } .ways { display:flex; flex-wrap:wrap; gap:.4rem; margin:.3rem 0 .5rem; }
.status { font-weight:600; overflow-wrap:anywhere; }
.status.pass { color:var(--good); } .status.warn { color:var(--warn); } .status.fail { color:var(--bad); }
.soft { color:var(--soft); }
table { border-collapse:collapse; width:100%; font-size:.9rem; }
caption { text-align:left; color:var(--soft); padding-bottom:.3rem; }
th, td { text-align:left; vertical-align:top; padding:.25rem .6rem .25rem 0; border-bottom:1px solid var(--edge);
         color:var(--ink); overflow-wrap:anywhere; }
table.rows th { font-weight:500; color:var(--soft); width:34%; }
.wide { overflow-x:auto; max-height:26rem; overflow-y:auto; }
table.checks { min-width:640px; } table.checks td { overflow-wrap:normal; }
.verdict { font-weight:600; } .pass .verdict { color:var(--good); } .warn .verdict { color:var(--warn); }
.fail .verdict { color:var(--bad); }
.checks button { background:none; border:0; padding:0; font:inherit; color:var(--accent); text-decoration:underline;
                 cursor:pointer; text-align:left; }
.left { white-space:nowrap; }
.room { display:inline-block; width:54px; height:8px; border:1px solid var(--soft); margin-right:.4rem; }
.room > span { display:block; height:100%; background:var(--soft); }
.use { columns:22rem; column-gap:2rem; } .use h3 { break-after:avoid; }
svg.chart { width:100%; height:auto; display:block; color:var(--ink); }
svg.chart text { font-size:12px; fill:currentColor; }
svg.chart .throw { fill:var(--throw); } svg.chart .wanted { fill:var(--wanted); }
svg.chart .grid { stroke:var(--edge); } svg.chart .stop { stroke:var(--soft); stroke-dasharray:4 4; }
svg.chart .curve { fill:none; stroke:var(--accent); stroke-width:2.5; }
svg.chart .now { fill:var(--bad); stroke:var(--card); stroke-width:2; }
.plan-picture { background:var(--ground); color:var(--ink); border:1px solid var(--edge); cursor:grab;
  touch-action:none; user-select:none; }
 .plan-picture svg { width:100%; height:auto; display:block; }
 .plan-picture svg :is(polygon, polyline) { vector-effect:non-scaling-stroke; }
.plan-picture svg .board { fill:var(--card); stroke:var(--ink); stroke-width:2; }
  .plan-picture svg .framing { fill:var(--throw); stroke:var(--soft); }
  .plan-picture svg .track { stroke:var(--soft); stroke-width:2; }
  .plan-picture svg .print { fill:var(--wanted); stroke:var(--good); fill-opacity:.8; }
  .plan-picture svg .print.bad { fill:var(--bad); stroke:var(--bad); fill-opacity:.55; }
  .plan-picture svg .print.planned { stroke-dasharray:4 3; fill-opacity:.6; }
  .plan-picture svg .name { font-size:var(--size); paint-order:stroke; stroke:var(--card); stroke-width:4; }
  .plan-picture svg .print.picked { stroke:var(--ink); stroke-width:3; }
code.line { display:block; white-space:pre-wrap; overflow-wrap:anywhere; background:var(--ground); color:var(--ink);
            padding:.6rem; border:1px solid var(--edge); border-radius:4px; }
pre.drawing { background:var(--ground); color:var(--ink); padding:.6rem; overflow-x:auto; margin:0;
              font-size:clamp(.54rem, 2.15vw, .85rem); }
ul, ol { padding-left:1.3rem; margin:.2rem 0 .6rem; } ul { list-style:disc; } ol { list-style:decimal; }
.q-field__label, .q-field__native, .q-field__input { color:var(--ink) !important; opacity:1 !important; }
.q-field__bottom { color:var(--soft) !important; opacity:1 !important; padding-top:2px; }
.q-field--error .q-field__bottom, .q-icon.text-negative { color:var(--bad) !important; }
.q-field--outlined .q-field__control:before { border-color:var(--soft) !important; }
.q-field__focusable-action { color:var(--soft) !important; opacity:1 !important; }
.q-field--with-bottom { padding-bottom:0 !important; }
.q-field__bottom { position:static !important; transform:none !important; }
.asked .q-slider { margin-top:-2px; } .q-expansion-item__content { padding:0 .2rem .4rem; }
.nicegui-expansion .nicegui-expansion-content { gap:.35rem; padding:.3rem .2rem; }
.stays { position:sticky; top:1rem; }
.q-expansion-item .q-item { padding-left:.2rem; padding-right:.2rem; }
.q-checkbox, .q-toggle, .q-expansion-item, .q-item { color:var(--ink) !important; }
.q-checkbox__inner--truthy, .q-toggle__inner--truthy { color:var(--accent) !important; }
.q-menu { background:var(--card) !important; color:var(--ink) !important; }
:focus-visible { outline:3px solid var(--accent) !important; outline-offset:2px; }
.skip { position:absolute; left:-999px; } .skip:focus { left:1rem; top:.5rem; background:var(--card); z-index:9; }
@media (max-width:900px) { .stays { position:static; } .plan-picture svg .name { font-size:calc(var(--size) * 1.6); }
  .bench { display:flex; flex-direction:column; align-items:stretch; gap:0; padding:.6rem; }
  .results, .forms { display:contents; } .bench > .card, .forms > .card { order:1; } .results > .card { order:2; }
  .results > .picture-first, .forms > .card:first-child { order:0; }
  .pair { grid-template-columns:minmax(0,1fr); gap:0; } .card { padding:.6rem .7rem; }
  .top .nav { flex-basis:100%; order:9; } }
@media (prefers-reduced-motion:reduce) { * { transition:none !important; animation:none !important; } }
"""

_LIGHTS = {"auto": "light as the system", "light": "light", "dark": "dark"}
_PLACES = (("/", "Mount"), ("/layout", "Layout"), ("/servo", "Own servo"))


def framed(title: str, here: str, unit: str, on_unit: Any = None) -> None:
    """Heading and styles of a page.

    Args:
        title: of the tab.
        here: address of the page without what follows ``?``.
        unit: of lengths: ``mm`` or ``in``.
        on_unit: called with another; None: the page has no lengths.
    """
    ui.page_title(f"{title} · turnout-mounts")
    ui.add_css(_CSS)
    dark = ui.dark_mode(None)
    with ui.element("header").classes("top"):
        ui.label("Bench page").props("role=heading aria-level=1")
        with ui.element("nav").classes("nav").props('aria-label="pages"'):
            for path, name in _PLACES:
                link = ui.link(name, f"{path}?unit={unit}" if unit != "mm" else path)
                if path == here:
                    link.classes("here").props("aria-current=page")
        if on_unit is not None:
            ui.select(UNITS, value=unit, label="unit", on_change=lambda event: on_unit(event.value)).props(
                "dense outlined options-dense"
            ).classes("w-36")
        ui.select(
            _LIGHTS, value="auto", label="light",
            on_change=lambda event: dark.set_value({"auto": None, "light": False, "dark": True}[event.value]),
        ).props("dense outlined options-dense").classes("w-44")  # fmt: skip


def card(heading: str, *, first: bool = False) -> Any:
    """A region with a heading, to be used with ``with``.

    Args:
        heading: of the region, which is its name too.
        first: it stands before the form where there is room for one column only.
    """
    region = ui.element("section").classes("card" + (" picture-first" if first else ""))
    region.props["aria-label"] = heading
    with region:
        ui.label(heading).props("role=heading aria-level=2").classes("text-base font-semibold mb-1")
    return region


def way_button(told: str, pressed: Any) -> None:
    """A button that makes a change."""
    ui.button(told, on_click=pressed).props("outline dense no-caps").classes("px-2")
