"""The files pages and documents are dressed with: our own, and those that come in installed packages."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response

from webapp.paths import STATIC

FONT_PACKAGES: Final = ("font_source_sans_pro", "font_source_serif_pro")
FONT_ENDINGS: Final = frozenset({".otf", ".ttf"})
FROM_PACKAGES: Final = {"vendor/htmx.min.js": ("js_lib_htmx", "static/htmx/htmx.min.js")}
KINDS: Final = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".otf": "font/otf",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
}
UNCHANGING: Final = "public, max-age=31536000, immutable"


@lru_cache(maxsize=1)
def _packaged() -> dict[str, Path]:
    found = {name: Path(str(files(package))) / inside for name, (package, inside) in FROM_PACKAGES.items()}
    for package in FONT_PACKAGES:
        for file in sorted((Path(str(files(package))) / "files").iterdir()):
            if file.suffix in FONT_ENDINGS:
                found[f"fonts/{file.name}"] = file
    return found


def find_asset(name: str) -> Path | None:
    """The file behind a name under /static/, or None. No name reaches outside the folders meant for it."""
    packaged = _packaged().get(name)
    if packaged is not None:
        return packaged
    try:
        file = (STATIC / name).resolve()
        return file if file.is_relative_to(STATIC) and file.is_file() else None
    except (OSError, ValueError):
        # Longer than any file's name may be, or with a zero byte in it.
        return None


@lru_cache(maxsize=512)
def _digest(file: Path, _changed_at: int) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()[:16]


def asset_digest(file: Path) -> str:
    """The start of the content's SHA-256, worked out again when the file changes."""
    return _digest(file, file.stat().st_mtime_ns)


def static_url(name: str) -> str:
    """The address of an asset, with its content's digest in it. Raises LookupError where there is no such file."""
    return f"/static/{name}?v={asset_digest(_there(name))}"


@lru_cache(maxsize=512)
def _there(name: str) -> Path:
    file = find_asset(name)
    if file is None:
        raise LookupError(f"There is no asset called {name}.")
    return file


def serve_asset(request: Request) -> Response:
    """Send an asset; the browser keeps it for good where the address names its content."""
    file = find_asset(request.path_params["name"])
    if file is None:
        return PlainTextResponse("There is no such file.\n", 404)
    same = request.query_params.get("v") == asset_digest(file)
    kind = KINDS.get(file.suffix, "application/octet-stream")
    return FileResponse(file, media_type=kind, headers={"Cache-Control": UNCHANGING if same else "no-cache"})
