"""What the person who runs the program can set, from the environment (RECKONER_...) or the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import AliasChoices, Field, field_validator
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict


class Settings(BaseSettings):
    """One frozen set for the whole process. What a shop sets for its sums lives in its database, not here."""

    model_config = SettingsConfigDict(env_prefix="RECKONER_", frozen=True, populate_by_name=True)

    data_folder: Path = Field(
        default=Path("data"),
        validation_alias=AliasChoices("data_folder", "RECKONER_DATA"),
        description="The folder that holds everything the shop keeps: database, secret key, backups.",
    )
    database_url: str = Field(
        default="",
        validation_alias=AliasChoices("database_url", "RECKONER_DATABASE"),
        description="postgresql+psycopg://... for PostgreSQL; left out, a SQLite file in the data folder.",
    )
    host: str = Field(default="127.0.0.1", description="The address to listen on; 0.0.0.0 for the whole network.")
    port: int = Field(default=8420, ge=0, le=65535, description="The port to listen on; 0 takes any free one.")
    demo: bool = Field(default=True, description="Whether an empty store is filled with the demo shop.")
    tls_cert: Path | None = Field(
        default=None, description="A certificate in PEM form to serve over https with, those behind it after it."
    )
    tls_key: Path | None = Field(default=None, description="That certificate's key, in PEM form and not locked.")
    secure_cookies: bool = Field(default=False, description="Set where the shop is only reached over https.")
    host_names: Annotated[tuple[str, ...], NoDecode] = Field(
        default=(), description="Further names the shop is reached by, parted by commas, besides this machine's own."
    )
    session_days: int = Field(default=14, ge=1, le=365, description="How long a sign-in lasts.")
    body_limit_bytes: int = Field(
        default=8 * 1024 * 1024, ge=64 * 1024, description="The largest request that is read, uploads among them."
    )
    backup_limit_bytes: int = Field(
        default=512 * 1024 * 1024, ge=1024 * 1024, description="The largest backup that is taken in by a page."
    )
    plan_workers: int = Field(
        default=1, ge=0, le=8, description="How many processes look for better cut plans and sweep designs; 0 for none."
    )
    plan_seconds: int = Field(
        default=60, ge=1, le=3600, description="How long each cut plan is looked for, unless it is proved before."
    )
    mail_password: str = Field(
        default="", repr=False, description="The mail server's password, where it is not typed under Settings."
    )
    mail_authorities: Path | None = Field(
        default=None, description="Certificates that a mail server's may be signed by, besides the machine's own."
    )
    log_level: str = Field(default="warning", pattern="^(critical|error|warning|info|debug)$")

    @field_validator("host_names", mode="before")
    @classmethod
    def _part_by_commas(cls, given: object) -> object:
        if isinstance(given, str):
            return tuple(name.strip().lower() for name in given.split(",") if name.strip())
        return given

    @property
    def database_address(self) -> str:
        """The database's address as SQLAlchemy reads it."""
        return self.database_url or f"sqlite:///{self.data_folder.resolve() / 'reckoner.sqlite'}"
