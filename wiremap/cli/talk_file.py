"""The answers of a talk as they lie in a file between two sittings."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from wiremap.base import Finding
from wiremap.files.filebytes import read_own_json
from wiremap.files.write import write_text

KIND = "start/1"

Answer = str | list[str]


def read_answers(path: Path) -> dict[str, Answer]:
    """The answers of an earlier sitting; none where there is no such file or it is none of ours."""
    kept = read_own_json(path)
    if kept.get("wiremap") != KIND:
        return {}
    answers = kept.get("answers")
    if not isinstance(answers, dict):
        return {}
    return {key: answer for key, answer in answers.items() if _is_answer(answer)}


def _is_answer(answer: object) -> bool:
    if isinstance(answer, list):
        return all(isinstance(row, str) for row in answer)
    return isinstance(answer, str)


def write_answers(path: Path, answers: Mapping[str, Answer]) -> Finding | None:
    """Keep all of them; a finding where that fails."""
    text = json.dumps({"wiremap": KIND, "answers": answers}, indent=1, ensure_ascii=False)
    return write_text(path, text + "\n", overwrite=True)
