"""What lifts the hold of a job, in plain words: who could know, who may sign, what is mended."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wiremap.base import plural
from wiremap.check import Checked
from wiremap.content.next_papers import anew, shown_path
from wiremap.evidence.partners import not_yet_joined
from wiremap.survey.not_known import not_known
from wiremap.survey.question import ORDER, WHO_KNOWS


def what_lifts(checked: Checked) -> Iterator[str]:
    """One line for each way in which stops of a held job are lifted; none where nothing holds."""
    stops = [finding for finding in checked.findings if finding.holds]
    if not stops or checked.job is None:
        return
    path = shown_path(checked.path)
    yield f"HOLD, {plural(len(stops), 'stop')}; all that can be asked was asked. What may lift it:"
    if any(not_yet_joined(checked.job)):
        yield f"  {anew(path)}"
    counted = Counter(question.found_at for question in not_known(checked.job))
    asked = {found_at: counted[found_at] for found_at in ORDER if counted[found_at]}
    if asked:
        yield f"  {plural(counted.total(), 'answer')} that nobody knew (wiremap next {path}):"
    for found_at, count in asked.items():
        yield f"    {count} could be known by: {WHO_KNOWS[found_at]}"
    signable = sum(finding.acceptable for finding in stops)
    if signable:
        yield f"  a named person stands to {signable} of them: wiremap sign {path} --by NAME"
    others = len(stops) - signable
    if others:
        yield f"  {others} of them nobody may sign, they are mended: wiremap check {path}"
