"""The people of the shop: who may sign in, as an owner or a helper; added, renamed, retired, given a password."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final, cast
from uuid import UUID

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response

from webapp.documents.printing.paper import day_text
from webapp.pages.people import history
from webapp.pages.settings.shop_fields import LONGEST_LINE
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import LastOwner, NameTaken
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import (
    Person,
    Role,
    add_user,
    change_role,
    list_people,
    load_person,
    rename_user,
    set_password,
    set_retired,
)
from webapp.rendering import render
from webapp.running import running
from webapp.security.passwords import hash_password, problems_with_new

router = PageRouter()
router.include_router(history.router)

ROLES: Final[tuple[tuple[str, str], ...]] = (
    ("helper", "Helper"),
    ("owner", "Owner"),
)
ROLE_NAMES: Final[Mapping[str, str]] = {"owner": "Owner", "helper": "Helper"}


@dataclass(frozen=True, slots=True)
class PersonRow:
    """A person in the list."""

    href: str
    name: str
    role: str
    since: str
    retired: str


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """Everybody."""

    people: tuple[PersonRow, ...]


@dataclass(frozen=True, slots=True)
class PersonPage:
    """The form of one person as it was typed, what stands against it, and whether they are retired or the demo's."""

    href: str
    heading: str
    is_new: bool
    is_demo: bool
    is_retired: bool
    typed: Mapping[str, str]
    problems: Mapping[str, str]
    roles: tuple[tuple[str, str], ...]


@router.get("/people")
def show_people(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """Everybody, those who have been retired last."""
    rows = tuple(
        PersonRow(
            f"/people/{one.user.id}", one.user.name, ROLE_NAMES[one.user.role], day_text(shop.today(one.added_at)),
            f"retired on {day_text(shop.today(one.retired_at))}" if one.retired_at else "",
        )
        for one in list_people(session)
    )  # fmt: skip
    return render(request, "people/list.html", PeoplePage(rows))


@router.get("/people/new")
def show_new(request: Request) -> Response:
    """The form for one person more."""
    return _page(request, None, {"name": "", "role": "helper"}, {}, 200)


@router.post("/people/new")
def add(
    request: Request,
    shop: ShopHere,
    user: SignedIn,
    name: Annotated[str, Form()] = "",
    role: Annotated[str, Form()] = "helper",
    password: Annotated[str, Form()] = "",
    password_again: Annotated[str, Form()] = "",
) -> Response:
    """Keep one person more, with a first password. The password is hashed outside any transaction."""
    here, typed = running(request), {"name": one_line(name), "role": role}
    problems = _problems(typed)
    problems |= problems_with_new(password, password_again, typed["name"], shop.name)
    if problems:
        return _page(request, None, typed, problems, 422)
    password_hash = hash_password(password)
    try:
        with here.database.writing() as session:
            add_user(
                session, name=typed["name"], password_hash=password_hash, added_at=here.now(), role=cast(Role, role),
                by=user.id,
            )  # fmt: skip
    except NameTaken as taken:
        return _page(request, None, typed, {"name": str(taken)}, 409)
    return RedirectResponse("/people", 303)


@router.get("/people/{person_id:uuid}")
def show_person(request: Request, session: StoreSession, person_id: UUID) -> Response:
    """One person."""
    person = load_person(session, person_id)
    return _page(request, person, {"name": person.user.name, "role": person.user.role}, {}, 200)


@router.post("/people/{person_id:uuid}")
def keep(
    request: Request,
    shop: ShopHere,
    user: SignedIn,
    person_id: UUID,
    name: Annotated[str, Form()] = "",
    role: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    password_again: Annotated[str, Form()] = "",
) -> Response:
    """Keep a person's name, role and, where one is typed, a new password, which signs them out everywhere."""
    here = running(request)
    with here.database.reading() as session:
        person = load_person(session, person_id)
    typed = {"name": one_line(name), "role": role or person.user.role}
    problems = _problems(typed)
    if password or password_again:
        problems |= problems_with_new(password, password_again, typed["name"], shop.name)
        if person.user.is_demo:
            problems["password"] = "The demonstration keeps the passwords it tells at its start."
    if problems:
        return _page(request, person, typed, problems, 422)
    password_hash = hash_password(password) if password else None
    try:
        with here.database.writing() as session:
            rename_user(session, person_id, typed["name"], at=here.now(), by=user.id)
            change_role(session, person_id, cast(Role, typed["role"]), at=here.now(), by=user.id)
            if password_hash is not None:
                set_password(session, person_id, password_hash, at=here.now(), by=user.id)
    except NameTaken as taken:
        return _page(request, person, typed, {"name": str(taken)}, 409)
    except LastOwner as last:
        return _page(request, person, typed, {"role": str(last)}, 409)
    return RedirectResponse("/people", 303)


@router.post("/people/{person_id:uuid}/retire")
def retire(
    request: Request, session: StoreSession, user: SignedIn, person_id: UUID, back: Annotated[str, Form()] = ""
) -> Response:
    """Let a person sign in no longer, or again. What they did stays under their name. Raises NotKept and LastOwner."""
    set_retired(session, person_id, not back, at=running(request).now(), by=user.id)
    return RedirectResponse("/people", 303)


def _problems(typed: Mapping[str, str]) -> dict[str, str]:
    problems: dict[str, str] = {}
    if not typed["name"]:
        problems["name"] = "Type the name they will sign in with."
    elif len(typed["name"]) > LONGEST_LINE:
        problems["name"] = f"This has {len(typed['name'])} characters; at most {LONGEST_LINE} fit on a line."
    if typed["role"] not in ROLE_NAMES:
        problems["role"] = f"“{typed['role'][:60]}” is neither owner nor helper; choose one of the list."
    return problems


def _page(
    request: Request, person: Person | None, typed: Mapping[str, str], problems: Mapping[str, str], status: int
) -> Response:
    page = PersonPage(
        f"/people/{person.user.id}" if person else "/people/new",
        person.user.name if person else "One person more",
        person is None,
        person.user.is_demo if person else False,
        person.retired_at is not None if person else False,
        typed,
        problems,
        ROLES,
    )
    return render(request, "people/person.html", page, status)
