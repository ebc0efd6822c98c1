"""Pictures that somebody sends: bounded before they are decoded, and drawn anew, so that nothing else stays."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import Final, Literal

from PIL import Image, ImageOps, UnidentifiedImageError

#: The largest file that is looked at, and the most points that are decoded: a telephone's camera has fewer.
LARGEST_BYTES: Final = 6 * 1024 * 1024
MOST_POINTS: Final = 64_000_000
READ: Final = ("JPEG", "PNG", "WEBP")
_QUALITY: Final = 85
_WHITE: Final = (255, 255, 255)

PictureKind = Literal["image/jpeg", "image/png"]


class PictureRefused(Exception):
    """A file that is not taken as a picture, with the sentence why."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as it is kept, upright, without anything that its camera wrote into it: place, day, names."""

    kind: PictureKind
    content: bytes
    wide: int
    tall: int


def read_picture(
    content: bytes, longest: int, *, see_through: bool = False, largest: int = LARGEST_BYTES
) -> Picture:
    """A JPEG, PNG or WebP picture drawn anew, at most `longest` points on its longer side.

    What was a PNG stays one, for its lines are sharp; `see_through` keeps its empty places empty. Raises
    PictureRefused for what is too large or no such picture.
    """
    if len(content) > largest:
        most = round(largest / 10**6)
        raise PictureRefused(
            f"This file has more than {most} MB; a picture may have {most} MB at most. Send a smaller copy of it."
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=READ) as sent:
                return _drawn_anew(sent, longest, see_through)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_points() from None
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError) as error:
        raise PictureRefused("This file is no JPEG, PNG or WebP picture, or it is damaged.") from error


def _drawn_anew(sent: Image.Image, longest: int, see_through: bool) -> Picture:
    wide, tall = sent.size
    if wide * tall > MOST_POINTS:
        raise _too_many_points()
    stays_png = sent.format == "PNG"
    sent.draft("RGB", (longest, longest))
    upright = ImageOps.exif_transpose(sent)
    if upright.mode not in ("RGB", "RGBA"):
        upright = upright.convert("RGBA" if "A" in upright.getbands() or "transparency" in upright.info else "RGB")
    upright.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    keeps_empty = see_through and upright.mode == "RGBA"
    # Put on an empty ground, nothing comes along but the points themselves.
    ground = Image.new("RGBA", upright.size, (0, 0, 0, 0)) if keeps_empty else Image.new("RGB", upright.size, _WHITE)
    if keeps_empty:
        ground.paste(upright)
    else:
        ground.paste(upright, mask=upright.getchannel("A") if upright.mode == "RGBA" else None)
    target = BytesIO()
    if stays_png or see_through:
        ground.save(target, "PNG")
    else:
        ground.save(target, "JPEG", quality=_QUALITY)
    kind: PictureKind = "image/png" if stays_png or see_through else "image/jpeg"
    return Picture(kind, target.getvalue(), *ground.size)


def _too_many_points() -> PictureRefused:
    return PictureRefused(
        f"This picture has more than {MOST_POINTS // 10**6} million points. Send a smaller copy of it."
    )
