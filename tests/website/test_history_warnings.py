"""A site that lacks the past of its solos says so, and a strict build stops."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, GitRepository, new_repository
from sites import write_site

from tabtools.website.build import SiteError, build_site

pytestmark = pytest.mark.build


@pytest.fixture
def clone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    """A shallow clone of a site with a history."""
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    write_site(tmp_path / "whole", {})
    whole = new_repository(tmp_path / "whole", DUSK)
    whole.commit(BETTER)
    whole.git("clone", "--quiet", "--depth=1", whole.folder.as_uri(), str(tmp_path / "clone"))
    return GitRepository(tmp_path / "clone")


def test_a_shallow_clone_warns_and_fails_strictly(clone: GitRepository, caplog: pytest.LogCaptureFixture) -> None:
    config = clone.folder / "mkdocs.yml"
    assert not (build_site(config) / "corrections.xml").exists()
    (said,) = [record for record in caplog.records if record.levelname == "WARNING"]
    assert said.name == "mkdocs.plugins.tabtools"
    assert "this clone is shallow" in said.getMessage()
    with pytest.raises(SiteError):
        build_site(config, strict=True)
    clone.git("fetch", "--quiet", "--unshallow")
    assert (build_site(config, strict=True) / "corrections.xml").exists()
