"""Signing in and out, and what stands behind the sign-in."""

from __future__ import annotations

from tests.harness.visiting import Visitor


def test_a_stranger_is_sent_to_sign_in(stranger: Visitor) -> None:
    answer = stranger.post("/sign-out")
    assert answer.status_code == 403
    assert stranger.get("/sign-in").status_code == 200


def test_demo_signs_in(demo_client: Visitor) -> None:
    assert demo_client.get("/sign-in").headers["location"] == "/"
