"""What every page must stand: axe finds nothing, in the dark neither, and nothing is cut off."""

from axe_playwright_python.sync_playwright import Axe, AxeResults

WIDTHS = (360, 390, 768, 1440)
HEIGHT = 900
IN_THE_LIGHT = {"resultTypes": ["violations"], "preload": False}
"""Only what is wrong is told, and no style sheet is fetched again: half the time."""
IN_THE_DARK = IN_THE_LIGHT | {"runOnly": ["color-contrast"]}
"""The dark changes colours alone; everything else was looked at in the light."""
OPEN_ALL = "document.querySelectorAll('details:not(.menu)').forEach(d => d.open = true)"


def check_page(page, address):
    """Looks at the page that is open, closed parts too, in both schemes and at every width."""
    page.evaluate(OPEN_ALL)
    check_schemes(page, address)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": HEIGHT})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, (address, width, wide)
    page.set_viewport_size({"width": WIDTHS[-1], "height": HEIGHT})


def check_schemes(page, name):
    """Looks at the page as it is, in the light and in the dark."""
    page.evaluate(Axe().axe_script)
    for scheme, options in (("dark", IN_THE_DARK), ("light", IN_THE_LIGHT)):
        # Without motion: a colour that is still on its way would be measured half-way.
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        found = AxeResults(page.evaluate("options => axe.run(options)", options))
        assert found.violations_count == 0, (name, scheme, found.generate_report())
