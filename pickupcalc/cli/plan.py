"""The least repair that gives every position what is wanted of it."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from pickupcalc.cli.common import add_job, add_json, as_json, called, open_job
from pickupcalc.limits import read_text, whole


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    add_json(parser)
    parser.add_argument(
        "--steps", action="store_true", help="the work order of one plan, with readings to expect"
    )
    parser.add_argument(
        "--truth", action="store_true", help="how signal and hum of each position meet, as it is"
    )
    parser.add_argument(
        "--number", default="1", metavar="N", help="the plan for --steps and --save, 1 (the best) if left out"
    )
    parser.add_argument("--save", metavar="FILE", help="write the job file as it is after that plan")


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.polarity.apply import applied
    from pickupcalc.answers.polarity.planner import plan
    from pickupcalc.answers.polarity.truth import truth
    from pickupcalc.answers.polarity.work_order import work_order
    from pickupcalc.show.plan_text import WIRING, plans_text, truth_text, work_order_text

    job = open_job(given.job)
    tables = [truth(job.instrument, p) for p in job.instrument.positions] if given.truth else []
    told = [*map(truth_text, tables), *([WIRING] if tables else [])]
    if told and not (given.steps or given.save or given.json):
        return "\n\n".join(told)  # what is observed can be told where it is too little for a plan
    found = plan(job.instrument)
    number = whole("--number", given.number, 1, len(found.plans))
    chosen = found.plans[number - 1]
    if given.save:
        after, path = applied(job, chosen.changes), Path(given.save)
        there = read_text(path) if path.exists() else None  # it is kept as a numbered copy
        replace(after, path=path, original=there).save()
    if given.json:
        order = {"work_order": work_order(job.instrument, chosen).as_json()} if given.steps else {}
        shown = {"truth": [t.as_json() for t in tables]} if given.truth else {}
        return as_json(found.as_json() | order | shown)
    if given.steps:
        told.append(work_order_text(work_order(job.instrument, chosen)))
    if told:
        return "\n\n".join(told)
    which = () if number == 1 else ("--number", str(number))
    following = called("plan", given.job, *which, "--steps")
    steps = f"\nThe steps of plan {number}: {following}" if chosen.changes else ""
    saved = f"\nThe job as it is after plan {number} is written into {given.save}." if given.save else ""
    return f"{plans_text(job.instrument, found)}{steps}{saved}"
