"""How far a job is, and what it waits for."""

from __future__ import annotations

import argparse

from pickupcalc.cli.common import add_job, add_json, as_json, open_job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    add_json(parser)
    parser.add_argument("--mark", metavar="STAGE", help="write down that it is planned, done or proven today")


def run(given: argparse.Namespace) -> str:
    from datetime import date

    from pickupcalc.answers.status import marked, status

    job = open_job(given.job)
    if given.mark:
        job = marked(job, given.mark, date.today()).save()
    found = status(job)
    if given.json:
        return as_json(found.as_json())
    since = f" since {found.since}" if found.since else ""
    return "\n".join(
        [f"{job.instrument.about.name}: {found.stage}{since}", *(f"  - {m}" for m in found.missing)]
    )
