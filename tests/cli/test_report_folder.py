"""The reports of a whole folder: each whole or not there, none of them stale, Ctrl-C and go on."""

import json
from importlib.resources import files

import pytest

import cli.check_folder
import cli.kept_report
import cli.report_folder
from cli import pool
from cli.kept_report import Order, kept_report, make_report, read_for_report
from cli.report_folder import folder_of

ORDER = Order("png", "a4", "this program")
# an engine without parts and spins: two papers that say so, and a picture or two
BARE = (files("cli.examples") / "v-twin.toml").read_text(encoding="utf-8").partition("[parts]")[0]


# the program is taken as one that nobody edits while it is tested
UNEDITED = "import cli.report_folder; cli.report_folder.made_by = lambda: 'this program'; "


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Three jobs that lack nearly everything, and one that is no job."""
    monkeypatch.setattr(cli.report_folder, "made_by", lambda: "this program")
    made = tmp_path / "jobs"
    made.mkdir()
    for name in ("a", "b", "d"):
        (made / f"{name}.toml").write_text(BARE, encoding="utf-8")
    (made / "c.toml").write_text(BARE.replace("stroke", "strok"), encoding="utf-8")
    return made


def whole(report):
    """Check that a report's folder holds exactly what it says, every PDF to its end."""
    page = json.loads((report / "report.json").read_text(encoding="utf-8"))
    assert {path.name for path in report.iterdir()} == {*page["files"], "report.json"}
    for path in report.glob("*.pdf"):
        assert path.read_bytes().rstrip().endswith(b"%%EOF")
    return page


def test_every_job_gets_its_report_and_a_wrong_one_is_said(heavyspot, folder):
    said = heavyspot("report", folder)
    assert said.code == 2
    assert "Reports of 3 of 4 jobs in" in said.out
    alone = heavyspot("report", folder / "c.toml").err.removeprefix("heavyspot: ")
    assert f"{folder / 'c.toml'}:" in alone
    assert "".join(alone.split()) in "".join(said.out.split()), "as of one job; lines are folded"
    assert max(map(len, said.out.splitlines())) <= 80
    places = [said.out.index(f"\n{name}.toml") for name in "abcd"]
    assert places == sorted(places), "the jobs stand in the order of the files"
    for name in "abd":
        assert "work-sheet.pdf" in whole(folder / f"{name}-report")["files"]
    assert not (folder / "c-report").exists()
    (folder / "c.toml").write_text(BARE, encoding="utf-8")
    (folder / "b.toml").write_text(BARE + "\n# another thought\n", encoding="utf-8")
    stamp = (folder / "a-report" / "work-sheet.pdf").stat().st_mtime_ns
    again = heavyspot("report", folder, "--json")
    jobs = json.loads(again.out)
    assert (again.code, again.err) == (1, ""), "papers lack their input"
    assert [job["made"] for job in jobs["jobs"]] == ["before", "now", "now", "before"]
    assert (jobs["of"], jobs["stopped"]) == (4, False)
    assert (folder / "a-report" / "work-sheet.pdf").stat().st_mtime_ns == stamp


def test_a_reason_is_said_once_with_the_papers_that_it_holds_up(heavyspot, folder):
    said = heavyspot("report", folder / "a.toml")
    _, _, below = said.out.partition("Could not be made yet\n")
    lines = below.partition("\n\n")[0].replace("\n", " ").split("- ")
    reasons = [line.partition(": ")[2] for line in lines if line]
    assert len(reasons) == len(set(reasons)) > 0
    assert "shake.png, force.png: " in said.out
    assert max(map(len, said.out.splitlines())) <= 80


def test_ctrl_c_finishes_what_is_at_work_and_the_same_command_goes_on(
    interrupted, heavyspot, folder
):
    for number in range(5):
        (folder / f"e{number}.toml").write_text(BARE, encoding="utf-8")
    (folder / "c.toml").unlink()
    ended = interrupted(["report", folder], at=" of 8 jobs", folder=folder.parent, before=UNEDITED)
    assert ended.code == 130
    reports = [*folder.glob("*-report")]
    assert 0 < len(reports) < 8
    for report in reports:
        whole(report)
    count = len(reports)
    words = " ".join(ended.out.split())
    assert f"Reports of {count} of 8 jobs" in words
    assert f"the same command goes on with the other {8 - count}." in words
    rest = json.loads(heavyspot("report", folder, "--json").out)
    assert [job["made"] for job in rest["jobs"]].count("before") == count
    assert [job["made"] for job in rest["jobs"]].count("now") == 8 - count
    assert len([whole(report) for report in folder.glob("*-report")]) == 8


def test_a_second_ctrl_c_stops_at_once_and_leaves_no_half_report(interrupted, folder):
    (folder / "c.toml").unlink()
    ended = interrupted(["report", folder], at=" of 3 jobs", folder=folder.parent, times=2)
    assert ended.code == 130
    assert "Ctrl-C again stops at once" in ended.err
    for report in folder.glob("*-report"):
        assert not [*report.glob(".*")], "nothing half written"
        if (report / "report.json").exists():
            whole(report)


def test_a_fault_of_the_program_is_said_and_is_no_report(heavyspot, folder, monkeypatch):
    broken = [(place, pool.Broken("ZeroDivisionError: x (y.py:1)")) for place in range(4)]
    monkeypatch.setattr(pool, "each", lambda *_, **__: iter(broken))
    (folder / "a-report").mkdir()
    said = heavyspot("report", folder, "--json")
    first, second = json.loads(said.out)["jobs"][:2]
    assert said.code == 2
    assert first["wrong"] == (
        f"{folder / 'a.toml'}: heavyspot itself went wrong: ZeroDivisionError: x (y.py:1); what "
        f"stands in {folder / 'a-report'} is NOT of this job as it is now"
    )
    assert second["wrong"].endswith("ZeroDivisionError: x (y.py:1)")
    assert (second["step"], second["made"]) == ("program", "no")


def test_many_jobs_are_checked_by_several_processes_and_say_the_same(
    heavyspot, folder, monkeypatch
):
    alone = heavyspot("check", folder, "--json")
    monkeypatch.setattr(cli.check_folder, "_MANY", 2)
    together = heavyspot("check", folder, "--json")
    assert (together.code, together.out) == (alone.code, alone.out)
    assert [line["step"] for line in json.loads(together.out)] == [
        "match",
        "match",
        "file",
        "match",
    ]


def test_reports_go_where_they_are_wanted(heavyspot, folder, tmp_path):
    for name in "bcd":
        (folder / f"{name}.toml").unlink()
    out = tmp_path / "elsewhere"
    assert heavyspot("report", folder, "--out", out).code == 1
    assert whole(out / "a-report")
    assert not (folder / "a-report").exists()


def test_a_folder_without_jobs_is_refused(heavyspot, tmp_path):
    said = heavyspot("report", tmp_path)
    assert said.code == 2
    assert "has no job files (*.toml)" in said.err


@pytest.fixture
def made(tmp_path):
    """One report, its job and its folder."""
    job = tmp_path / "job.toml"
    job.write_text(BARE, encoding="utf-8")
    report = folder_of(job, tmp_path)
    make_report(read_for_report(job), report, ORDER)
    return job, report


def test_a_report_vouches_for_itself(made):
    job, report = made
    kept = kept_report(job, report, ORDER)
    assert kept is not None
    assert set(kept.written) == set(whole(report)["files"])
    assert kept.line.file == "job.toml"
    assert kept.line.engine == "V-2"
    assert kept.lacking


@pytest.mark.parametrize(
    "change",
    [
        lambda job, report: job.write_text(BARE + "# more\n", encoding="utf-8"),
        lambda job, report: job.unlink(),
        lambda job, report: (report / "work-sheet.pdf").unlink(),
        lambda job, report: (report / "record.html").write_bytes(b"half"),
        lambda job, report: (report / "report.json").unlink(),
        lambda job, report: (report / "report.json").write_bytes(b"{"),
        lambda job, report: (report / "report.json").write_bytes(b"[1]"),
        lambda job, report: (report / "report.json").write_bytes(b'{"format": 1}'),
        lambda job, report: (report / "report.json").write_bytes(b'{"format": 2}'),
    ],
)
def test_anything_that_changed_makes_a_report_stale(made, change):
    job, report = made
    change(job, report)
    assert kept_report(job, report, ORDER) is None


@pytest.mark.parametrize(
    "order", [Order("svg", "a4", "this program"), Order("png", "us-letter", "this program"),
              Order("png", "a4", "another program")]
)  # fmt: skip
def test_another_order_makes_a_report_stale(made, order):
    job, report = made
    assert kept_report(job, report, order) is None


def test_a_job_that_was_renamed_with_its_report_is_up_to_date(made):
    job, report = made
    job = job.rename(job.with_name("other.toml"))
    kept = kept_report(job, report.rename(folder_of(job, job.parent)), ORDER)
    assert kept is not None
    assert kept.line.file == "other.toml"


def test_a_byte_order_mark_is_no_change(made):
    job, report = made
    job.write_bytes(b"\xef\xbb\xbf" + job.read_bytes())  # the byte-order mark some editors write
    assert kept_report(job, report, ORDER) is not None


def test_papers_that_a_job_no_longer_has_do_not_stay_unsaid(tmp_path, example):
    job = example("v-twin")
    report = tmp_path / "report"
    first = make_report(read_for_report(job), report, ORDER)
    assert "stack.png" in first.written
    (report / "drill-map.png").write_bytes(b"drawn over by hand")
    (report / "notes.txt").write_text("mine")
    job.write_text(BARE, encoding="utf-8")
    second = make_report(read_for_report(job), report, ORDER)
    assert "stack.png" in second.removed
    assert not (report / "stack.png").exists()
    assert second.foreign == ("drill-map.png",)
    assert (report / "drill-map.png").read_bytes() == b"drawn over by hand"
    assert (report / "notes.txt").read_text() == "mine"


def test_the_program_is_known_by_every_byte_of_it(monkeypatch, tmp_path):
    before = cli.kept_report.made_by()
    assert before == cli.kept_report.made_by()
    assert before.startswith("heavyspot ")
    (tmp_path / "more.py").write_text("x = 1\n")
    monkeypatch.setattr(cli, "__path__", [str(tmp_path)])
    assert cli.kept_report.made_by() != before
