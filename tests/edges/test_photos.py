"""Photos of what was found: painted anew, so that nothing but the picture comes in; shown to who may see the page."""

from __future__ import annotations

import io
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from page_farm import AT, InMemory, as_person, browser, text_of, token_in
from PIL import Image

from sentinel.edges.photos import LONGEST_PX, MOST_PIXELS, MOST_PIXELS_JPEG, NoPicture, Photos

LATITUDE = {1: "N", 2: (53.0, 20.0, 0.0), 3: "W", 4: (6.0, 15.0, 0.0)}


def photo(width: int = 40, height: int = 20, kind: str = "JPEG", turned: bool = False) -> bytes:
    """A photo, red on its left half, with a position and a camera's name; `turned` as a phone held upright says it."""
    picture = Image.new("RGB", (width, height), "white")
    picture.paste("red", (0, 0, width // 2, height))
    exif = Image.Exif()
    exif[0x0110] = "a camera's name"
    exif.get_ifd(0x8825).update(LATITUDE)
    if turned:
        exif[0x0112] = 6  # EXIF 2.3, orientation: to be turned by 90 degrees clockwise
    out = io.BytesIO()
    picture.save(out, kind, exif=exif, comment="where it was") if kind == "JPEG" else picture.save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_but_the_picture_is_kept(tmp_path: Path, kind: str) -> None:
    """Position, camera and comments are gone; the picture is the same, as JPEG."""
    photos = Photos(tmp_path)
    name = photos.put(photo(kind=kind))

    assert isinstance(name, str)
    kept = photos.get(name)
    assert kept is not None
    assert b"camera" not in kept and b"Exif" not in kept and b"where it was" not in kept
    with Image.open(io.BytesIO(kept)) as picture:
        assert (picture.format, picture.size, dict(picture.getexif())) == ("JPEG", (40, 20), {})
        red, white = picture.getpixel((5, 10)), picture.getpixel((35, 10))
    assert red[0] > 200 and red[1] < 60 and min(white) > 200


def test_a_photo_held_upright_is_the_right_way_up_and_no_longer_than_needed(tmp_path: Path) -> None:
    """What the camera only notes beside the picture is done to the picture; a large one becomes smaller."""
    photos = Photos(tmp_path)
    kept = photos.get(str(photos.put(photo(4000, 2000, turned=True))))

    assert kept is not None
    with Image.open(io.BytesIO(kept)) as picture:
        assert picture.size == (LONGEST_PX // 2, LONGEST_PX)
        assert picture.getpixel((400, 100))[1] < 60  # the red half is on top now


def test_the_same_photo_is_kept_once(tmp_path: Path) -> None:
    """Sent twice, as after a lost signal, it has the same name."""
    photos = Photos(tmp_path)

    assert photos.put(photo()) == photos.put(photo())
    assert len(list((tmp_path / "photos").iterdir())) == 1


@pytest.mark.parametrize(
    "content",
    [b"", b"<svg onload='x'/>", b"GIF89a....", photo()[:200], b"%PDF-1.7"],
    ids=["none", "svg", "gif", "cut", "pdf"],
)
def test_what_is_no_photo_is_refused(tmp_path: Path, content: bytes) -> None:
    """Nothing of it is kept."""
    assert Photos(tmp_path).put(content) == NoPicture()
    assert not (tmp_path / "photos").exists()


def test_a_small_file_that_unpacks_to_a_huge_picture_is_refused(tmp_path: Path) -> None:
    """Its size is looked at before it is unpacked."""
    out = io.BytesIO()
    Image.new("1", (10_000, 10_000)).save(out, "PNG")

    assert len(out.getvalue()) < 100_000
    assert Photos(tmp_path).put(out.getvalue()) == NoPicture(MOST_PIXELS)


def one_colour(kind: str, size: tuple[int, int], mode: str = "RGB", **options: object) -> bytes:
    """A picture that is small as a file, however large it is."""
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **options)  # type: ignore[arg-type]
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "most"),
    [
        (one_colour("JPEG", (7000, 7000)), 0),
        (one_colour("JPEG", (60_000, 900)), 0),
        (one_colour("PNG", (4000, 4000), "RGBA"), 0),
        (one_colour("JPEG", (8000, 8000)), MOST_PIXELS_JPEG),
        (one_colour("JPEG", (5000, 5000), progressive=True), MOST_PIXELS),
        (one_colour("PNG", (5000, 5000), "P"), MOST_PIXELS),
        (one_colour("WEBP", (5000, 5000)), MOST_PIXELS),
    ],
    ids=["of a phone", "a panorama", "png", "jpeg", "progressive jpeg", "larger png", "webp"],
)
def test_how_many_pixels_are_read_depends_on_what_reading_them_takes(tmp_path: Path, content: bytes, most: int) -> None:
    """A phone's JPEG is made smaller while it is read; what must be unpacked whole may have fewer."""
    name = Photos(tmp_path).put(content)

    assert name == NoPicture(most) if most else isinstance(name, str)


def test_what_the_reader_of_pictures_fails_with_is_no_picture(tmp_path: Path) -> None:
    """Any byte of a good one may be another."""
    good = bytearray(photo())
    for place in range(2, len(good), 3):
        bad = good.copy()
        bad[place] ^= 0xFF
        assert isinstance(Photos(tmp_path).put(bytes(bad)), str | NoPicture)


def test_photos_at_once_with_one_name_are_all_kept(tmp_path: Path) -> None:
    """The same picture sent by several phones, or twice by one; nothing else is left in the folder."""
    content = photo()
    with ThreadPoolExecutor(8) as several:
        names = list(several.map(lambda _: Photos(tmp_path).put(content), range(64)))

    assert len(set(names)) == 1
    assert [path.name for path in (tmp_path / "photos").iterdir()] == [names[0]]


@pytest.mark.parametrize("name", ["../sentinel.db", "x.jpg", "", "0" * 32 + ".jpg", "0" * 32 + ".jpg/../../page.key"])
def test_only_photos_are_given_by_name(tmp_path: Path, name: str) -> None:
    """A name leads to nothing else in the farm folder."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "sentinel.db").write_text("secret")

    assert Photos(tmp_path).get(name) is None


# --- on the page -----------------------------------------------------------------------------------------


def sent(phone, content: bytes, **fields):
    """A photo sent by the form of the alert's page."""
    given = fields or {"token": token_in(phone.get("/alert/17").text)}
    return phone.post("/alert/17/photo", data=given, files={"photo": ("p.jpg", content, "image/jpeg")})


def test_a_photo_stands_with_its_alert_and_in_its_story() -> None:
    """Who took it and when; it is shown to who is known, and to nobody else."""
    farm = InMemory()
    phone = as_person(farm)
    shown = sent(phone, photo())

    assert "Marit, 08:00" in text_of(shown.text)
    assert farm.entries[-1].kind == "photo"
    [name] = farm.photos
    assert f'src="/photo/{name}"' in shown.text
    answer = phone.get(f"/photo/{name}")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/jpeg")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert browser(farm).get(f"/photo/{name}").status_code == 401


def test_what_is_no_picture_is_said_to_be_none() -> None:
    """The alert is shown again, with what can be sent."""
    farm = InMemory()
    shown = sent(as_person(farm), b"not a photo")

    assert "This file is not a readable picture." in text_of(shown.text)
    assert farm.photos == {}


def test_a_picture_with_too_many_pixels_is_refused_with_the_limit() -> None:
    """By the form of an alert and from what a phone kept, in the same words."""
    farm, bomb = InMemory(), one_colour("PNG", (10_000, 10_000), "1")
    phone = as_person(farm)
    shown = sent(phone, bomb)
    [told] = kept_photo(phone, bomb).json()["said"]

    said = "The picture has more than 16 million pixels. Take it again in a smaller size."
    assert (shown.status_code, told["state"]) == (413, "refused")
    assert said in text_of(shown.text)
    assert told["text"] == said
    assert farm.photos == {}


def test_a_photo_from_elsewhere_or_too_large_is_not_taken() -> None:
    """Without the form's token, by one who may only look, or with more bytes than a photo has."""
    farm = InMemory(own={1: ("Marit", True, 2_000_000_000)})
    assert sent(as_person(farm), photo(), token="made up").status_code == 403
    farm.own[1] = ("Marit", False, 2_000_000_000)
    assert sent(as_person(farm), photo(), token="made up").status_code == 403
    assert sent(as_person(farm), bytes(17_000_000)).status_code == 413
    assert farm.photos == {}


def kept_photo(phone, content: bytes, token: str = "", **fields):
    """A photo that a phone kept without signal, sent by its script; the answer to it."""
    told = token or phone.get("/who").json()["token"]
    given = {"number": "kept-0001", "at": str(AT - 600), "alert": "17", "person": "Marit", **fields}
    photos = {"photo": ("photo.jpg", content, "image/jpeg")}
    return phone.post("/kept/photo", data=given, files=photos, headers={"X-Form-Token": told})


def test_a_kept_photo_is_taken_once_with_the_time_it_was_taken() -> None:
    """However often it is sent; another number is another photo."""
    farm = InMemory()
    phone = as_person(farm)
    told = [kept_photo(phone, photo(), number=f"kept-000{n}").json()["said"][0] for n in (1, 1, 2)]

    assert [one["state"] for one in told] == ["taken", "already", "taken"]
    assert {one["text"] for one in told} == {"Thank you, Marit. The photo is with its alert."}
    assert [entry.body["taken_at"] for entry in farm.entries] == [AT - 600, AT - 600]
    assert "Marit, 07:50" in text_of(phone.get("/alert/17").text)


def test_the_same_form_sent_twice_adds_one_photo() -> None:
    """A second tap while the signal is slow."""
    farm = InMemory()
    phone = as_person(farm)
    fields = {"token": token_in(phone.get("/alert/17").text), "number": "form-0001"}
    for _ in range(2):
        assert sent(phone, photo(), **fields).status_code == 200

    assert len(farm.photos) == len(farm.entries) == 1


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"person": "Onno"}, "Onno had saved it on this phone"),
        ({"alert": "99"}, "This alert or chore no longer exists"),
        ({"alert": "x"}, "This alert or chore no longer exists"),
        ({"content": b"not a photo"}, "This file is not a readable picture."),
    ],
)
def test_a_kept_photo_that_cannot_be_taken_is_said_not_lost(given: dict, said: str) -> None:
    """Another person's, of an alert that is not there, or no picture at all."""
    farm = InMemory()
    fields = {"content": photo(), **given}
    [told] = kept_photo(as_person(farm), **fields).json()["said"]

    assert (told["number"], told["state"]) == ("kept-0001", "refused")
    assert said in told["text"]
    assert farm.photos == {}


def test_a_kept_photo_needs_the_sessions_token_and_the_right_to_answer() -> None:
    """As all else that is said; what is no form with a file is none."""
    farm = InMemory()
    phone = as_person(farm)
    assert kept_photo(phone, photo(), token="made up").status_code == 403
    assert phone.post("/kept/photo", content=b"x", headers={"X-Form-Token": "made up"}).status_code == 403
    token = phone.get("/who").json()["token"]
    assert phone.post("/kept/photo", content=b"x", headers={"X-Form-Token": token}).status_code == 400
    farm.own[1] = ("Marit", True, 2_000_000_000)
    assert kept_photo(phone, photo()).status_code == 403
    assert browser(farm).post("/kept/photo", data={}, files={"photo": ("p.jpg", photo())}).status_code == 401
    assert farm.photos == {}
