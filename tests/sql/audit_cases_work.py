"""Broken plans, one rule each: sizes, cutting, material, enclosures, hours, budgets, totals."""

from datetime import date, datetime

from tests.sql.audit_edits import GROUP_1, A, C, Case, add, change, drop, measure, setting

CASES: tuple[Case, ...] = (
    ("clearance_within_policy", "6.50 x|6.5000", (change("cut_sizes", width_mm=233.5),)),
    ("clearance_within_policy", "1.5000", (change("volumes", A, page_height_mm=298.5),)),
    ("clearance_within_policy", "2.5000", (change("cut_size_volumes", clearance_width_mm=2.5),)),
    (
        "one_size_per_volume_and_paper",
        "2 sizes",
        (add("cut_sizes", cut_size_id="Z2"), add("cut_size_volumes", cut_size_id="Z2", sheets=0)),
    ),
    ("one_size_per_volume_and_paper", "0 are cut", (drop("cut_size_volumes", volume_id="A"),)),
    ("cut_sizes_sum_their_volumes", "7 sheets", (change("cut_sizes", sheets=7),)),
    ("cut_sizes_sum_their_volumes", "Z2", (add("cut_sizes", cut_size_id="Z2"),)),
    ("spares_reach_the_campaigns", "0 spares", (change("cut_sizes", spares=0),)),
    ("spares_reach_the_campaigns", "40.0 per cent", (setting("spares_pct", "40"),)),
    ("size_bounds_hold", "2 are needed", (change("cut_size_bounds", lower_bound=2),)),
    ("size_bounds_hold", "2 are there", (add("cut_sizes", cut_size_id="Z2"),)),
    (
        "choices_are_bounded",
        "2 sizes, at least 3",
        (change("clearance_choices", cut_sizes=2, lower_bound=3),),
    ),
    (
        "choices_are_bounded",
        "cost 0.4500, at least 0.5",
        (change("clearance_choices", cost_lower_bound=0.5),),
    ),
    (
        "choices_are_bounded",
        "4.0 mm takes 1 sizes, clearance 6.0 mm at least 2",
        (change("clearance_choices", {"most_clearance_mm": 6.0}, cut_sizes=2, lower_bound=2),),
    ),
    (
        "choices_are_bounded",
        "1 sizes a sheet costs 0.4500, any number sizes a sheet at least 0.9",
        (change("sizes_per_sheet_choices", {"choice_no": 3}, cost_needed=0.9, cost_lower_bound=0.9),),
    ),
    ("choices_are_bounded", "0 choices are marked", (change("sizes_per_sheet_choices", is_planned=False),)),
    (
        "cutting_ways_follow_the_plan",
        "2 parents",
        (change("cutting_ways", {"way": "plan"}, parents_count=2),),
    ),
    ("cutting_ways_follow_the_plan", "0 sizes", (drop("cutting_ways", way="plan"),)),
    ("demand_is_cut", "yield 5", (drop("pattern_pieces", piece_no=6),)),
    ("demand_is_cut", "yield 0", (change("stock", paper_id="P-2"),)),
    ("pieces_are_of_their_paper", "P-2", (change("cut_sizes", paper_id="P-2"),)),
    ("parents_are_stock", "690.00", (change("patterns", sheet_width_mm=690.0),)),
    (
        "parents_are_stock",
        "1300.00",
        (change("stock", form="roll", length_mm=50_000.0), change("patterns", sheet_length_mm=1300.0)),
    ),
    (
        "parents_are_stock",
        "3 off-cuts",
        (
            add(
                "patterns",
                pattern_id="R2",
                from_offcut_of="R1",
                sheets=3,
                sheet_width_mm=220.0,
                sheet_length_mm=994.0,
            ),
            change("patterns", {"pattern_id": "R1"}, sheets=2),
        ),
    ),
    ("pieces_lie_inside_the_trimmed_parent", "off-cut", (change("offcuts", along_width_mm=220.5),)),
    (
        "pieces_lie_inside_the_trimmed_parent",
        "piece 6",
        (change("pattern_pieces", {"piece_no": 6}, y_mm=697.5),),
    ),
    (
        "pieces_do_not_overlap",
        "piece 1 and piece 2",
        (change("pattern_pieces", {"piece_no": 2}, x_mm=236.5),),
    ),
    ("pieces_do_not_overlap", "off-cut 1 and piece", (change("offcuts", x_mm=473.0),)),
    ("pieces_do_not_overlap", "off-cut 1 and off-cut 2", (add("offcuts", x_mm=480.0),)),
    (
        "pieces_have_their_cut_size",
        "piece 3",
        (change("pattern_pieces", {"piece_no": 3}, along_width_mm=236.0),),
    ),
    (
        "pieces_have_their_cut_size",
        "piece 3",
        (change("pattern_pieces", {"piece_no": 3}, along_width_mm=297.0, along_length_mm=237.0),),
    ),
    ("pieces_have_their_cut_size", "grain short", (change("stock", grain="short"),)),
    (
        "patterns_cut_in_two_stages",
        "pieces 1 and 4",  # pinwheel-like: the second strip's pieces reach into the first one's column
        (
            change("pattern_pieces", {"piece_no": 3}, x_mm=237.0, y_mm=200.0),
            change("pattern_pieces", {"piece_no": 4}, x_mm=0.0, y_mm=290.0),
        ),
    ),
    (
        "few_sizes_on_a_parent",
        "2 sizes",
        (setting("max_sizes_per_sheet", "1"), change("pattern_pieces", {"piece_no": 1}, cut_size_id="Z2")),
    ),
    ("patterns_have_pieces", "used are stated", (change("patterns", used_pct=50.0),)),
    ("patterns_have_pieces", "R2", (add("patterns", pattern_id="R2"),)),
    ("cuts_within_the_guillotine", "700.0 mm", (setting("guillotine_max_cut_mm", "699"),)),
    (
        "cuts_within_the_guillotine",
        "1000.0 mm",
        (setting("guillotine_max_cut_mm", "900"), change("patterns", first_cut="across_length")),
    ),
    ("lifts_fit_the_clamp", "1 lifts for 751", (change("patterns", sheets=751),)),
    ("lifts_fit_the_clamp", "2 lifts", (change("patterns", lifts=2),)),
    ("material_sums_the_patterns", "take 2", (change("patterns", sheets=2),)),
    ("material_sums_the_patterns", "take 0.020", (change("stock", form="roll", length_mm=50_000.0),)),
    ("material_sums_the_patterns", "S-1", (drop("material_totals", stock_id="S-1"),)),
    ("material_is_bought_in_packs", "0 packs", (change("material_totals", packs=0, cost=0.0),)),
    ("material_is_bought_in_packs", "cost 50.00", (change("material_totals", cost=50.0),)),
    ("material_is_bought_in_packs", "on hand", (change("stock", on_hand=5.0),)),
    ("bounds_do_not_exceed_costs", "bound 0.46", (change("paper_bounds", cost_lower_bound=0.46),)),
    ("bounds_do_not_exceed_costs", "0.80000", (change("paper_bounds", area_of_parents_m2=0.8),)),
    ("enclosures_where_due", "B is on_hold", (add("enclosures", volume_id="B"),)),
    ("enclosures_where_due", "gets no enclosure", (drop("enclosures", volume_id="C"),)),
    ("enclosures_fit", "too small", (change("volumes", A, cover_width_mm=248.0),)),
    ("enclosures_fit", "too small", (change("volumes", A, fore_edge_after_mm=33.0),)),
    ("enclosures_fit", "too large", (change("enclosure_stock", max_slack_mm=1.0),)),
    ("enclosures_fit", "not its price", (change("enclosures", C, price=9.0),)),
    ("enclosures_fit", "not the size", (change("enclosures", C, inner_width_mm=251.0),)),
    ("enclosures_fit", "too large", (change("enclosures", A, enclosure_id=None, price=28.0),)),
    (
        "enclosures_are_the_closest",
        "made to measure, where E-1",
        (change("enclosures", A, enclosure_id=None),),
    ),
    (
        "enclosures_are_the_closest",
        "where E-2",
        (change("enclosure_stock", {"enclosure_id": "E-2"}, inner_width_mm=248.0),),
    ),
    ("upright_only_when_small", "shelved upright", (change("volumes", C, page_height_mm=560.0),)),
    ("upright_only_when_small", "shelved flat", (change("enclosures", C, shelved="flat"),)),
    ("enclosure_totals_add_up", "cost 21.00", (change("enclosure_totals", cost=21.0),)),
    ("enclosure_totals_add_up", "needed 1", (change("enclosure_totals", needed=1.0, to_buy=1.0, cost=10.0),)),
    ("enclosure_totals_add_up", "needed 3", (change("enclosure_totals", needed=3.0, to_buy=3.0, cost=30.0),)),
    ("enclosure_totals_add_up", "made to measure", (change("enclosures", C, enclosure_id=None),)),
    ("volumes_have_their_tasks", "0 tasks remove", (drop("tasks", task_id="remove-1"),)),
    ("volumes_have_their_tasks", "2 tasks fetch", (add("tasks", like=1, task_id="fetch-3"),)),
    (
        "volumes_have_their_tasks",
        "B: 1 tasks check",
        (add("tasks", like=4, task_id="check-2", volume_id="B"),),
    ),
    ("volumes_have_their_tasks", "0 runs", (drop("tasks", task_id="cut-1"),)),
    ("volumes_have_their_tasks", "wrongly", (change("tasks", {"task_id": "fetch-1"}, pattern_id="R1"),)),
    ("hours_follow_the_rates", "interleave-1", (change("tasks", {"task_id": "interleave-1"}, hours=0.25),)),
    ("hours_follow_the_rates", "pattern R1", (change("tasks", {"task_id": "cut-1"}, hours=0.2),)),
    ("people_are_skilled_enough", "V-1", (change("tasks", {"task_id": "check-1"}, staff_id="V-1"),)),
    (
        "people_are_skilled_enough",
        "grade 2",
        (change("tasks", {"task_id": "interleave-1"}, skill="volunteer"),),
    ),
    ("people_are_skilled_enough", "grade 3", (change("volumes", A, skill="conservator"),)),
    ("work_is_dated", "finish none", (change("tasks", {"task_id": "fetch-2"}, finish_at=None),)),
    (
        "work_is_dated",
        "person none",
        (change("tasks", {"task_id": "return-1"}, staff_id=None, start_at=None, finish_at=None),),
    ),
    (
        "order_of_work_is_kept",
        "interleave-1 starts",
        (change("tasks", {"task_id": "cut-1"}, finish_at=datetime(2027, 1, 4, 9, 26)),),
    ),
    (
        "order_of_work_is_kept",
        "fetch-2 before it finishes at no date",
        (change("tasks", {"task_id": "fetch-2"}, staff_id=None, start_at=None, finish_at=None),),
    ),
    (
        "order_of_work_is_kept",
        "task return-2",
        (change("task_order", before_task_id="return-2", after_task_id="cut-1"),),
    ),
    ("one_guillotine", "cut-1 .*cut-2", (add("tasks", task_id="cut-2", staff_id="V-1"),)),
    (
        "one_task_a_person_at_a_time",
        "T-1",
        (change("tasks", {"task_id": "return-2"}, start_at=datetime(2027, 1, 4, 10, 9)),),
    ),
    (
        "tasks_lie_in_working_hours",
        "return-2",  # the person's absence
        (
            change(
                "tasks",
                {"task_id": "return-2"},
                start_at=datetime(2027, 1, 13, 9),
                finish_at=datetime(2027, 1, 13, 9, 5),
            ),
        ),
    ),
    (
        "tasks_lie_in_working_hours",
        "return-2",  # the lab is closed
        (
            change(
                "tasks",
                {"task_id": "return-2"},
                start_at=datetime(2027, 1, 15, 9),
                finish_at=datetime(2027, 1, 15, 9, 5),
            ),
        ),
    ),
    (
        "tasks_lie_in_working_hours",
        "return-2",  # after the day's six hours
        (
            change(
                "tasks",
                {"task_id": "return-2"},
                start_at=datetime(2027, 1, 4, 14, 58),
                finish_at=datetime(2027, 1, 4, 15, 3),
            ),
        ),
    ),
    (
        "tasks_lie_in_working_hours",
        "return-2",  # after the campaign
        (
            change(
                "tasks",
                {"task_id": "return-2"},
                start_at=datetime(2027, 1, 18, 9),
                finish_at=datetime(2027, 1, 18, 9, 5),
            ),
        ),
    ),
    ("tasks_lie_in_working_hours", "fetch-1", (change("tasks", {"task_id": "fetch-1"}, hours=0.5),)),
    ("weeks_hold_their_hours", "V-1", (change("staff_weeks", {"staff_id": "V-1"}, hours_available=3.0),)),
    (
        "weeks_hold_their_hours",
        "T-1",
        (change("staff_weeks", {"hours_planned": 75 / 60}, hours_planned=1.5),),
    ),
    ("weeks_hold_their_hours", "V-1", (drop("staff_weeks", staff_id="V-1"),)),
    ("cuts_wait_for_their_paper", "1 days to deliver", (change("stock", lead_days=1),)),
    ("cuts_wait_for_their_paper", "no day with", (change("material_totals", order_by=None),)),
    ("cuts_wait_for_their_paper", "no day, ordered", (change("stock", on_hand=5.0),)),
    ("cuts_wait_for_their_paper", "2026-12-01", (change("material_totals", order_by=date(2026, 12, 1)),)),
    ("enclosing_waits_for_enclosures", "7 days", (change("enclosure_stock", lead_days=7),)),
    ("enclosing_waits_for_enclosures", "no day", (change("enclosure_totals", order_by=None),)),
    ("supplies_within_budget", "65.00|paper 45.00", (setting("supplies_budget", "64.99"),)),
    ("labour_within_budget", "37.50", (setting("staff_budget", "37.4"),)),
    ("totals_follow_the_tables", "Fair, sheets", (measure("sheets", "Fair", 6.0),)),
    ("totals_follow_the_tables", "all collections, labour_hours", (measure("labour_hours", None, 1.0),)),
    ("totals_follow_the_tables", "nothing is stated", (drop("campaign_totals", measure="volumes_on_hold"),)),
    ("totals_of_parts_add_up", "paper_cost", (measure("paper_cost", "Seed", 1.0),)),
    (
        "finish_date_is_the_last_finish",
        "2027-01-05",
        (change("campaign_totals", {"measure": "finish_date"}, text="2027-01-05"),),
    ),
    ("ids_are_known", "person T-9", (change("tasks", {"task_id": "fetch-2"}, staff_id="T-9"),)),
    ("ids_are_known", "stock S-9", (change("patterns", stock_id="S-9"),)),
    ("ids_are_known", "paper P-9", (change("interleaves", GROUP_1, paper_id="P-9"),)),
)
