import pytest

from wallcalc import shipped


def test_the_checkout_s_own_folders_are_found():
    assert (shipped.data_folder() / "rules" / "uk.toml").is_file()
    assert (shipped.data_folder() / "prices.csv").is_file()
    assert shipped.notebooks_folder().is_dir()


def test_an_installed_package_uses_what_it_brought_and_not_a_folder_beside_it(tmp_path, monkeypatch):
    package = tmp_path / "wallcalc"
    (package / "_shipped" / "data").mkdir(parents=True)
    (package / "_shipped" / "notebooks").mkdir()
    (tmp_path / "data").mkdir()
    (tmp_path / "pyproject.toml").touch()
    monkeypatch.setattr(shipped, "PACKAGE", package)
    assert shipped.data_folder() == package / "_shipped" / "data"
    assert shipped.notebooks_folder() == package / "_shipped" / "notebooks"


def test_a_data_folder_beside_an_installed_package_is_not_ours(tmp_path, monkeypatch):
    package = tmp_path / "wallcalc"
    package.mkdir()
    (tmp_path / "data").mkdir()
    monkeypatch.setattr(shipped, "PACKAGE", package)
    with pytest.raises(
        FileNotFoundError,
        match=r"'data' that comes with wallcalc was not found: looked for .*install wallcalc again",
    ):
        shipped.data_folder()
