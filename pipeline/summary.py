"""What a plan comes to, in the few lines that a run ends with."""

from pathlib import Path

from pipeline.contracts.fields import STATES
from pipeline.store import Store


def summary_lines(store: Store, out: Path) -> tuple[str, ...]:
    """What the plan comes to, in a few lines."""
    totals = {
        measure: value
        for measure, value in store.rows(
            "select measure, value from published.campaign_totals where collection is null and basis = 'planned'"
        )
    }
    states = [
        f"{int(totals[f'volumes_{state}'])} {state}" for state in STATES if totals.get(f"volumes_{state}")
    ]
    finish = store.rows(
        "select text from published.campaign_totals where collection is null and measure = 'finish_date'"
    )[0][0]
    currency = store.rows("select currency from published.run")[0][0]
    return (
        f"{int(totals['volumes'])} volumes: {', '.join(states)}",
        f"{int(totals['sheets'])} sheets protect {int(totals['openings_protected'])} of "
        f"{int(totals['openings_at_risk'])} openings at risk; "
        f"{totals['benefit_planned']:.1f} of {totals['benefit_possible']:.1f} possible page losses avoided",
        f"{totals['cut_sizes']:.0f} cut sizes from {totals['parents']:.0f} parent sheets; "
        f"paper {totals['paper_cost']:.2f} {currency}, enclosures {totals['enclosure_cost']:.2f} {currency}",
        f"{totals['labour_hours']:.1f} hours of work, finished {finish or 'not dated'}",
        *done_lines(store),
        *advice_lines(store),
        f"plan written to {out}",
    )


def done_lines(store: Store) -> tuple[str, ...]:
    """What the returns say is done, and how much changed against the revision before; none in a first plan."""
    done = store.rows(
        "select sum(laid_sheets_count), sum(hours_taken), count(distinct volume_id) filter (progress = 'done') "
        "from published.done_work having count(*) > 0"
    )
    changes = store.rows("select count(*) from published.changes having count(*) > 0")
    return (
        *(
            f"done so far: {sheets} sheets laid in, {volumes} volumes finished, {hours:.1f} hours; the rest is planned"
            for sheets, hours, volumes in done
        ),
        *(f"{count} changes against the revision before (published.changes)" for (count,) in changes),
    )


def advice_lines(store: Store) -> tuple[str, ...]:
    """What would help most, and how sure the plan is where that was asked for; none where nothing is short."""
    needs = store.rows(
        "select description, added_benefit from published.paper_needs where need_kind = 'paper' order by need_no"
    )
    sure = store.rows(
        "select draws_count, kept_pct, moved_ranks_count from published.sensitivity "
        "where judgement = 'all' and volume_id is null"
    )
    chances = store.rows("select words from published.finish_chances where chance_of = 'campaign'")
    return (
        *(words for (words,) in chances),
        *(f"most missed: {words} (+{benefit:.1f} page losses avoided)" for words, benefit in needs[:1]),
        *(
            f"with judgement figures drawn {draws} times {kept:.0f} % of the states stay; volumes move "
            f"{moved:.0f} places in the ranking on average"
            for draws, kept, moved in sure
        ),
    )
