"""What the plan saves against a planner's usual way, in a sentence."""

from pipeline.outputs.plan import Plan


def saving_sentence(plan: Plan) -> str:
    """What the plan saves against the usual way, in a sentence; blank when nothing is cut."""
    ways = {row["way"]: row for row in plan.query("cutting_ways")}
    if not {"usual", "plan"} <= ways.keys():
        return ""
    usual, planned = ways["usual"], ways["plan"]
    return (
        f"Cut the usual way, each page size by itself and one size to a sheet, the same leaves would take "
        f"{usual['parents_count']:,} parent sheets and {usual['patterns_count']:,} set-ups of the guillotine; "
        f"this plan takes {planned['parents_count']:,} and {planned['patterns_count']:,}: "
        f"{planned['parents_saved_pct']:.0f} % fewer sheets and {planned['patterns_saved_pct']:.0f} % fewer set-ups."
    )
