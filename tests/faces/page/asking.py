"""A page that is asked without a server, a browser or a watch over its file."""

from pathlib import Path

from starlette.testclient import TestClient

from falsework.faces.page.app import app
from falsework.faces.page.kept import Keeper
from falsework.faces.page.page import Page


def page_for(lab: Path, out: tuple[str, ...] = ()) -> Page:
    """The page of a lab that has just been read."""
    keeper = Keeper(lab, out)
    keeper.read()
    return Page(keeper=keeper, token="a token of this run")


def client(page: Page) -> TestClient:
    """Who asks it, as a browser on this machine does."""
    return TestClient(app(page), base_url="http://127.0.0.1", raise_server_exceptions=True)
