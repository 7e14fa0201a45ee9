"""The electrical side of a rewire, worked out without a database: circuits, readings, rules of the site, the board.

Decimals throughout, in the unit a name ends with. Every result is a `Check` (formula, numbers, result, limit, rows) or
carries `rules`; pages show them with `rules.EDITION_NOTE` and `rules.CAUTION`. Results assist a competent person.

rules            Rule(code, text, value, unit, edition, clause, mark, source) .place .reference; Mark;
                 CURRENT_EDITION, EDITION_NOTE, CAUTION
rule_rows        rule(code) -> Rule; value(code) -> Decimal; RULES
rule_book        every_rule() -> dict[str, Rule], tables of cables and clips included
checks           Check .result_words .sources; Outcome PASS LOOK FAIL UNKNOWN NOT_NEEDED; worst_of(checks) -> Outcome
cables           Method; Cable .name .r1 .r2 .rating(method); CABLES; find_cable(live_mm2) -> Cable | None;
                 grouping_rule(circuits, *, side_by_side=False), insulation_rule(mm), ambient_rule(degrees_c) -> Rule
circuit          Part(metres, method, grouped=1, is_side_by_side=False, surrounded_mm=0, ambient_c=30);
                 Device(curve, rating_amps, rcd_milliamps=None, rcd_type=None, is_time_delayed=False) .name;
                 Supply(ze_ohms, fuse_amps, earthing=TN_C_S);
                 Circuit(reference, name, kind, cable, parts, device, design_amps=None, points=0, spurs=0,
                 longest_spur_metres=0, floor_area_m2=None, has_sockets=False, is_in_bathroom=False, is_shallow=True)
                 .metres .governing_part;
                 Curve, RcdType, Earthing, DEVICE_RATINGS; all refuse what cannot be with ValueError
devices          read_device(words, rating_amps) -> DeviceRead | None .device .assumed, from "RCBO type A, B curve"
circuit_checks   judge_circuit(circuit, supply) -> list[Check]; suggest_cable(circuit, supply) -> Suggestion .cable .drivers
                 .words; longest_run(circuit, supply) -> LongestRun .metres .by_drop_metres .by_zs_metres;
                 what_if(circuit, *, method, metres, device, cable, grouped) -> Circuit
capacity         check_capacity(circuit); needed_rating(device_amps, part); smallest_by_rating(amps, part);
                 counts_in_group(load_amps, cable, part) -> bool
voltage_drop     check_voltage_drop(circuit); drop_volts(cable, metres, amps, *, is_ring=False, correction=1);
                 temperature_correction(carried_amps, tabulated_amps, factor=1); drop_limit_volts(kind)
fault_loop       check_fault_loop(circuit, supply); zs_limit_ohms(device, supply=None); cold_limit_ohms(device, supply=None);
                 line_and_cpc_ohms(cable, metres, *, is_ring=False); far_end_ohms(circuit);
                 design_zs_ohms(circuit, supply); hot(ohms); printed(ohms)
protection       check_rcd(circuit); rcd_reasons(circuit) -> list[Rule]; check_make_up(circuit); check_bond(Bond, size_mm2)
demand           LoadKind; Load(name, kind, connected_amps, has_socket=False); load_of(name, kind, watts, *, has_socket=False);
                 design_current(load) -> DemandLine; add_up(loads) -> Demand .lines .amps .connected_amps;
                 check_demand(demand, fuse_amps) -> Check; amps_of(watts)
assumed          assemble(Surveyed, Told) -> Assembled .circuit .load .assumed; try_on(surveyed, told, WhatIf) -> Assembled;
                 assemble_supply(earthing, told_ze_ohms, fuse_amps, measured_ze_ohms=None) -> AssembledSupply .supply .assumed
                 .ze_from; what is measured beats what is told, None is assumed, in words
loads            load_for(kind, name, *, watts=None, device_amps=None, lamps=0, has_socket=False, load_kind=None) -> Load | None
readings         read(text, unit) -> Reading .state .amount .problem .words(unit), never raises; Unit, State;
                 within_most(reading, limit), within_least(reading, limit) -> bool | None
readings_table   heading_row(measures) -> list[str]; read_readings(table, references, sockets) -> ReadingsTable .rows
                 .faults, from survey_file.opening.open_table(data); a RowReadings has .row .reference .socket .written
under_test       Measure, WhenTested, UNITS, LIVE_TESTS, OPTIONAL; UnderTest(circuit, supply, test_volts=500)
                 .expected_ohms(measure); measures_for(under_test, when); fields_for(under_test, when) -> list[Field]
judging          judge_readings({Measure: Reading}, under_test, when) -> list[Judged] .outcome .look_for .checks;
                 what_holds(judged) -> list[str], why the circuit must not be energised yet
ring             RingEnds(r1, rn, r2) .cross_live .cross_cpc .lowest_cross_cpc; expected_ends(cable, loop_metres);
                 check_ends(ends, cable=None); check_cross_live(ends, readings), check_cross_cpc(ends, readings) -> Check
sockets          SocketMeasure; judge_sockets(measure, [SocketRead(name, reading)], ends) -> CrossJudged .sockets .checks .holds;
                 highest(read) -> SocketRead | None, whose reading is R1 + R2; name_sockets([(room, point)]) -> list[str]
supply_tests     SupplyMeasure, SUPPLY_UNITS; supply_fields(earthing) -> list[Field]; judge_supply({SupplyMeasure: Reading},
                 earthing) -> list[Judged]; judge_ze(reading, earthing); judge_fault_current(reading, breaking_kiloamps=None)
board            lay_out(circuits, *, ways=None, has_surge_device=True) -> Board .ways .words .modules .spare_ways;
                 chart(board, supply) -> list[ChartRow]; labels(board); check_spare_ways(circuits, ways); fitting_unit(circuits)
zones            WallFace, Visible; zones_of(wall, points) -> list[Zone]; judge_run(wall, points, start, end, *, depth_mm=0,
                 has_metal_cover=False, has_rcd=True) -> list[Check]; check_joist_crossing(depth_mm, *, has_protection=False)
bathroom         BathPlace(across_mm, height_mm, has_tray=True, is_inside_basin=False, outlet_mm=0);
                 zone_of(place) -> BathVerdict .zone .needs .rules; check_socket(place) -> list[Check], by both figures
clips            clips_for(*, across_metres, down_metres, width_mm) -> Clips .count .numbers .rules
chases           judge_chase(depth_mm, leaf_mm, *, is_vertical, is_back_to_back=False) -> list[Check]; deepest_chase_mm
joists           judge_hole, judge_notch -> list[Verdict]
"""
