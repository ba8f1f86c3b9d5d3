"""`answer` and `done`: what a person says of an alert or a chore."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, app, now, open_farm, out
from sentinel.engine import Engine
from sentinel.errors import BusyError, UsageError
from sentinel.flow.model import Answer, Chore, Tick
from sentinel.flow.yaml_text import did_you_mean
from sentinel.service import Farmyard, lock

By = Annotated[str, typer.Option("--by", help="Who you are.")]
Note = Annotated[str, typer.Option("--note", help="In your own words.")]


@app.command()
def answer(
    number: Annotated[int, typer.Argument(metavar="ID", help="The alert's number.")],
    by: By,
    found: Annotated[str, typer.Option("--found", help="What you found; without it: seen.")] = "",
    note: Note = "",
    farm: FarmOption = HERE,
) -> None:
    """Answer an alert: who you are and what you found."""
    with open_farm(farm) as yard:
        person = _person(yard, by)
        alerts = yard.store.alerts("id = ?", (number,))
        if not alerts:
            standing = ", ".join(str(a.id) for a in yard.store.alerts("over_at is null")) or "none"
            raise UsageError(f"there is no alert {number}; standing now: {standing}")
        rule = yard.setup.rules.get(alerts[0].rule)
        if found and rule and found not in rule.findings:
            raise UsageError(
                f"{found!r} is not a finding of {rule.name}{did_you_mean(found, rule.findings)}; "
                "use --note for your own words"
            )
        yard.store.put_answer(Answer(number, now(), person, found, note))
        _take(yard, f"Answered {number}: {alerts[0].text}")


@app.command()
def done(
    chore: Annotated[str, typer.Argument(help="Which chore: filter, wash, wire ...")],
    by: By = "",
    box: Annotated[str, typer.Option(help="At which box.")] = "",
    place: Annotated[str, typer.Option(help="At which other place.")] = "",
    note: Note = "",
    farm: FarmOption = HERE,
) -> None:
    """Record a chore as done now."""
    with open_farm(farm) as yard:
        where = box or place
        known = {(c.name, c.place) for c in yard.setup.farm.chores}
        names = sorted({name for name, _ in known})
        if chore not in names:
            raise UsageError(f"{chore!r} is not a chore of this farm{did_you_mean(chore, names)}")
        places = sorted(p for name, p in known if name == chore)
        if where not in places:
            raise UsageError(f"say where {chore} was done: {', '.join(p or '(no place)' for p in places)}")
        person = _person(yard, by) if by or len(yard.setup.people) != 1 else yard.setup.people[0].name
        yard.store.put_chore(Chore(chore, where, now(), person, note))
        _take(yard, f"Noted: {chore} {where} done".rstrip())


def _person(yard: Farmyard, name: str) -> str:
    """The person as people.yaml writes them."""
    names = [person.name for person in yard.setup.people]
    for known in names:
        if known.casefold() == name.strip().casefold():
            return known
    if not names and name.strip():
        return name.strip()
    if not name.strip():
        raise UsageError(f"say who you are with --by: {', '.join(names)}")
    raise UsageError(f"{name!r} is not in people.yaml{did_you_mean(name, names)}")


def _take(yard: Farmyard, said: str) -> None:
    """Put what was said into the log at once, or leave it to the running service, which does."""
    try:
        taken = lock(yard.folder)
    except BusyError:
        out.print(f"{said}. The running service takes it within a second.", markup=False)
        return
    try:
        at = max(now(), (yard.store.last_tick() or 0) + 1)
        yard.store.put_settings(at, yard.setup.texts)
        answers, chores, deliveries = yard.store.waiting_inputs()
        Engine(yard.store, yard.setup).step(Tick(at, answers=answers, chores=chores, deliveries=deliveries))
    finally:
        taken.release()
    out.print(f"{said}.", markup=False)
