"""The answer page: what opens on the phone when a person taps the link in a notice.

`links` signs and reads the links, `app` is what is shown and taken, `serve` runs it beside the service.
"""

from sentinel.edges.page.app import Shown, make_app
from sentinel.edges.page.links import LINK_FOR_S, sign_link
from sentinel.edges.page.serve import Page

__all__ = ["LINK_FOR_S", "Page", "Shown", "make_app", "sign_link"]
