// Package view computes every number and every sentence that a paper, a
// table or a calendar shows, once, so that two papers cannot disagree.
//
// What enters are plain values: the property with its units and records, the
// rotation problem and its answer, windows, tasks and contracts. What leaves
// are plain values too, one type for each kind of paper. The writers in
// report/table, report/page, report/pdf and report/ical format what stands
// there and decide nothing.
//
// The papers and what they are made from:
//
//	Program       program.go      Plan          the program book; units by year
//	History       history.go      Plan          past burns, in the book
//	Rehearsal     rehearsal.go    Rehearsal     how plans stand up to other years
//	Due           due.go          Season        what burns in a season, and why
//	Sheet         onsite.go       Due           this season's sheet, a page a unit
//	Calendar      calendar.go     Season        windows of a year, day by day
//	Agenda        agenda.go       Season        the calendar file
//	Why           why.go          Plan          one decision
//	Compare       compare.go      Plan, Plan    two plans side by side
//	Alternative   alternatives.go problem       other plans, and fixes
//	Missed        missed.go       Plan          burns that are past and not done
//	Draft         draft.go        DraftInput    one unit's burn plan, unsigned
//	Packet        packet.go       PacketInput   one cost-share contract
//	Breaks        breaks.go       BreaksInput   feet of break; words in breakreport.go
//	Borders       borders.go      BordersInput  who borders whom
//	WindCard      windcard.go     window.Card   winds, hours and lines of a unit
//	Weather       weather.go      window.Days   burn days, limits, stations
//	Forecast      forecast.go     window        a forecast against a prescription
//	Now           now.go          window        the weather of the moment against a unit
//	Map           map.go          Plan          what burns where, year by year
//	Edited        edited.go       Plan, Plan    a plan with a user's edits
//	PlanLine      planlist.go     answers       the plans that were made
//	NotedBurn     notedburn.go    records       burns on record and their versions
//	              packetrun.go    Packet        packets of a folder of properties
//	FirstDraft    firstrun.go     values        what a first run would make
//	UnitsChanged  unitschanged.go values        what became of units
//	SealCheck     sealcheck.go    values        whether what was kept of the seals holds
//
// What several of them share: Plan and its layout by unit and year (plan.go,
// grid.go), parts of the shortfall and prices (cost.go, yearly.go), obstacles
// and reasons (obstacles.go, reasons.go, nowindow.go), terms of a burn
// (terms.go, near.go, winds.go), changes against the plan before (changes.go), small maps
// (ground.go), the stamp, the cautions and what came later (stamp.go,
// overtaken.go), units and places in lists (lists.go), and words: words.go for
// what a status or a kind is called, tasks.go and weathersays.go for what was
// just done, contract.go and record.go for practices and records, reading.go for
// the hour of a reading or a forecast, editreason.go for why an edit cannot stand,
// tried.go for what a what-if closes, text.go and figure.go for numbers.
//
// Every type marshals to JSON; a quantity that is absent is null, never a
// number that means something else.
package view
