"""A new revision of a job that says what was built, where the ring-out has found it."""

from __future__ import annotations

from wiremap.base import Finding
from wiremap.cli.common import note
from wiremap.diagnose.judge import Judgement
from wiremap.diagnose.revision import as_built_revision
from wiremap.evidence.opened import OpenJob
from wiremap.files.dump import dump_job
from wiremap.files.from_job import from_job
from wiremap.files.write import write_text


def write_as_built(path: str, opened: OpenJob, judged: Judgement) -> Finding | None:
    """Write the revision if the readings are explained, and say why not; a fault of writing."""
    if not judged.disagree:
        note("nothing differs from the drawing; no new revision is needed")
        return None
    whole = next((each for each in judged.explanations if not each.unexplained), None)
    if whole is None or judged.verdict != "fail":
        note(
            "the readings are not explained yet, so no new revision is written; "
            "go on with the next probe"
        )
        return None
    job = as_built_revision(opened.harness, whole.build)
    header = ["As built: the ring-out names these mistakes."]
    header += [f"{each.kind}: {', '.join(each.subject)}" for each in whole.mistakes]
    text = dump_job(
        job,
        header=header,
        files={name: from_job(path, end.pinout.path) for name, end in job.ends.items()},
        notebooks=[from_job(path, notebook.path) for notebook in job.notebooks],
    )
    wrong = write_text(path, text, inputs=[opened.job.path])
    if wrong is None:
        note(
            f"revision {job.revision} written to {path}: check it, "
            "a mistake that is kept must still be in order"
        )
    return wrong
