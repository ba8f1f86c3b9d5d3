"""What is sent to the page, read with suspicion: a body within its length, and numbers and texts out of it.

Whatever a phone, a script or a stranger puts into a field is either read here or refused with a 4xx; nothing past
here meets a number that the store cannot hold or a text that cannot be written down.
"""

from __future__ import annotations

import asyncio
import json
import math
import re
from contextlib import suppress
from typing import Any
from urllib.parse import parse_qs

from starlette.convertors import IntegerConvertor, register_url_convertor
from starlette.exceptions import HTTPException
from starlette.requests import Request

BODY_LENGTH = 65_536
KEPT_LENGTH = 4 * BODY_LENGTH
"""Of a list that a phone kept: fifty notes of a thousand characters, in any script."""

DISCARD_LENGTH = 17_000_000
DISCARD_S = 5.0
"""Of what is refused so many bytes, for so long, are let come and forgotten."""

MOST_KEPT = 50
"""So many things that a phone kept may be sent at once."""

FIELD_LENGTH = 10_000
UNREAD = "unread"
"""The detail of a refusal of what cannot be read at all, whatever the farm knows."""

_DIGITS = re.compile(r"-?[0-9]{1,18}")
"""Eighteen digits: what SQLite's 64 bits hold. Not `\\d` or isdigit, which know `²` and digits of every script."""

_SURROGATES = re.compile("[\ud800-\udfff]")
_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f]")


class _Number(IntegerConvertor):
    """A number in an address: `/alert/{alert:number}`."""

    regex = "[0-9]{1,18}"


register_url_convertor("number", _Number())


def unread() -> HTTPException:
    """A refusal of what cannot be read."""
    return HTTPException(400, UNREAD)


def whole(value: Any) -> int:
    """A whole number of at most 18 digits, as a number or as plain digits; HTTPException 400 for anything else."""
    if isinstance(value, str) and _DIGITS.fullmatch(value.strip()):
        return int(value)
    if isinstance(value, float) and math.isfinite(value) and value.is_integer():
        value = int(value)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**18:
        return value
    raise unread()


def must_be_known(known: bool) -> None:
    """HTTPException 404 unless what an address names is known here."""
    if not known:
        raise HTTPException(404)


def text(value: Any) -> str:
    """A text in which every character can be kept and shown; HTTPException 400 for a list, a truth, an object.

    Half a character, as is left when a phone cuts an emoji in two, becomes a mark; a control character a space.
    """
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise unread()
    return _CONTROLS.sub(" ", _SURROGATES.sub("\ufffd", str(value)[:FIELD_LENGTH]))


async def body_of(request: Request, most: int = BODY_LENGTH) -> bytes:
    """What was sent; HTTPException 413 as soon as it is known to be longer than `most` bytes."""
    length = request.headers.get("content-length", "")
    too_long = bool(_DIGITS.fullmatch(length)) and int(length) > most
    body = bytearray()
    more = True
    while more and not too_long:
        message = await request.receive()
        if message["type"] == "http.disconnect":
            raise HTTPException(400)
        body += message.get("body", b"")
        too_long, more = len(body) > most, bool(message.get("more_body"))
    if too_long and more:
        body.clear()
        await discard(request)
    if too_long:
        raise HTTPException(413)
    return bytes(body)


async def discard(request: Request) -> None:
    """Let come what is still sent of something refused, and forget it.

    Whoever is cut off while sending may not get to read why: a photo sent after the session had ended, say. It is
    for a few seconds only, and not for who asked beforehand whether to send.
    """
    if "expect" in request.headers:
        return
    left = DISCARD_LENGTH
    with suppress(TimeoutError):
        async with asyncio.timeout(DISCARD_S):
            while left > 0:
                message = await request.receive()
                left -= len(message.get("body", b""))
                if not message.get("more_body"):
                    return


async def form_of(request: Request) -> dict[str, str]:
    """The fields of a form, the first of each name."""
    body = await body_of(request)
    try:
        fields = parse_qs(body.decode("utf-8"), keep_blank_values=True, max_num_fields=20)
    except ValueError as error:
        raise HTTPException(400) from error
    return {name: values[0] for name, values in fields.items()}


def items_of(body: bytes) -> list[Any]:
    """The things that a phone kept, as it lists them; a number too long to be one stays a text."""
    try:
        items = json.loads(body, parse_int=lambda digits: int(digits) if len(digits) < 20 else digits)["items"]
    except (ValueError, KeyError, TypeError, RecursionError) as error:  # the last: lists in lists in lists
        raise HTTPException(400) from error
    if not isinstance(items, list) or len(items) > MOST_KEPT:
        raise HTTPException(400)
    return items
