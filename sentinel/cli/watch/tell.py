"""`tell`: a test notice by each of a person's channels, and what each of them answered."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, AsJson, FarmOption, now, open_farm, out, print_json
from sentinel.edges.locales import words_of
from sentinel.edges.notifier import Message, Notifier, Outcome
from sentinel.edges.store.access import PageAccess
from sentinel.errors import UsageError
from sentinel.flow.model import DAY_S
from sentinel.flow.notices.trial import trial
from sentinel.flow.reasons import Reason
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.inputs import person_named
from sentinel.runtime.web_server import opens_on_phones, own_link

WAIT_S = 30.0
"""How long the channels are waited for, all together; each try ends after a third of it by itself."""


def tell(
    person: Annotated[str, typer.Argument(help="A name in people.yaml.")],
    farm: FarmOption = HERE,
    as_json: AsJson = False,
) -> None:
    """Send a person a test notice on each of their channels, and say what each answered."""
    with open_farm(farm) as yard:
        name = person_named(yard, person)
        channels = next((one.channels for one in yard.setup.people if one.name == name), ())
        if not channels:
            raise UsageError(f"{name} has no channels in people.yaml; nothing can be sent")
        link = _link(yard, name)
        outcomes = _sent(yard, name, channels, link)
        if as_json:
            print_json(
                {"person": name, "channel": one.channel, "state": one.state, "detail": str(one.detail)}
                for one in outcomes
            )
        else:
            for one in outcomes:
                out.print(f"{one.channel}: {one.state}: {one.detail}")
            promise = "opens the page for a day, while `sentinel run` runs"
            none = "farm.yaml names no address by which phones reach the page (page: address:)"
            out.print(f"The link in it {promise}." if link else f"No link went with it: {none}.")
        if any(one.state != "delivered" for one in outcomes):
            raise typer.Exit(1)


def _link(yard: Farmyard, name: str) -> str:
    """A link of the person's own that opens the page for a day; "" if phones cannot reach the page."""
    if not opens_on_phones(yard.setup.farm):
        return ""
    at = now()
    return own_link(yard, PageAccess(yard.store).make(name, read_only=False, at=at, until=at + DAY_S))


def _sent(yard: Farmyard, name: str, channels: tuple[str, ...], link: str) -> list[Outcome]:
    """How each channel answered, in their order."""
    farm = yard.setup.farm
    title, body = trial(farm.name, now(), bool(link), words_of(farm))
    messages = [Message("test", channel, name, title, body, "now", link) for channel in dict.fromkeys(channels)]
    ended: dict[str, Outcome] = {}
    notifier = Notifier(yard.secrets.urls, timeout_s=WAIT_S / 3)
    notifier.send_all(messages, lambda outcome: ended.update({outcome.channel: outcome}))
    notifier.finish(WAIT_S)
    notifier.close()
    late = Reason("no-answer")
    return [ended.get(one.channel) or Outcome("test", one.channel, "unknown", late) for one in messages]
