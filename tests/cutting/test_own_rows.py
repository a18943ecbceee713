"""A user's own calibrated figures beside the job win over the shipped ones, and are reported."""

from pathlib import Path

from camplan import pipeline, resources
from camplan.cutting import CuttingData


def asked(beside: Path) -> CuttingData:
    return pipeline.speeds(
        cutter="slot-6",
        material="aluminium-6082",
        machine="bench-mill",
        depth=3.0,
        width=None,
        kind="slot",
        beside=beside,
    )


def test_a_material_with_the_users_own_specific_force_is_used_and_said(tmp_path: Path) -> None:
    text = (resources.shipped() / "tooling/materials/aluminium-6082.toml").read_text(encoding="utf-8")
    shipped = asked(tmp_path)
    place = tmp_path / "tooling" / "materials"
    place.mkdir(parents=True)
    own = text.replace("kc11_n_mm2 = 800.0", "kc11_n_mm2 = 400.0").replace("VDI3323 table group 22", "own cut of May")
    (place / "aluminium-6082.toml").write_text(own, encoding="utf-8")
    calibrated = asked(tmp_path)
    assert [finding.code for finding in calibrated.findings] == ["hidden-name"]
    assert str(place) in calibrated.findings[0].message
    assert shipped.findings == ()
    assert calibrated.step_down > shipped.step_down
    assert any("own cut of May" in reason.source for reason in calibrated.reasons)


def test_the_cautions_of_a_material_stand_beside_its_figures(tmp_path: Path) -> None:
    data = pipeline.speeds(
        cutter="slot-6", material="mdf", machine="bench-mill", depth=3.0, width=None, kind="rough", beside=tmp_path
    )
    assert {finding.code for finding in data.findings} == {"material-caution"}
