"""A summary in, what stands on the first sheet of its workbook out."""

from __future__ import annotations

from calllog.lines import closures, expanded_as_told, shown_one_in
from calllog.report import Lead, LeadLine, kind_words
from calllog.session.judging import judge
from calllog.session.results import is_finished, line_results
from calllog.session.state_facts import facts_about, state_facts, state_words
from calllog.session.summary import Summary
from calllog.units import in_unit


def lead_of(summary: Summary) -> Lead:
    """Sum up a job for its workbook: what must be known of it, then its lines.

    Raises:
        JournalError: the job cannot be read.
    """
    unit, facts, results = summary.header.unit_read, state_facts(summary), line_results(summary)
    runs = closures([each.line for each in results])
    lines = []
    for each in results:
        line, ratio = each.line, judge(each, runs, unit).ratio
        run = f", run {line.run}" if line.run > 1 else ""
        about = facts_about(facts, (line.line_from, line.line_to, line.run))
        lines.append(
            LeadLine(
                job=summary.header.job,
                name=f"{line.line_from} to {line.line_to}{run}",
                length=in_unit(line.horizontal_ft, unit),
                expanded=None if each.u_ft is None else expanded_as_told(each.u_ft, unit),
                unit=unit.symbol,
                digits=unit.digits,
                one_in="" if ratio is None else f"1:{shown_one_in(ratio.n)}",
                kind=kind_words(line.kind),
                pulls=len(line.corrected),
                is_finished=is_finished(line, summary),
                state=state_words(about),
            )
        )
    return Lead(state_words(facts), tuple(lines))
